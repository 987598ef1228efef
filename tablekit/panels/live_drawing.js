// A drawing kept as SVG and moved at each frame, whose dimensions are controls. What a frame holds
// stands in drawing/packed.py; nothing about the piece is worked out here.

const SVG = "http://www.w3.org/2000/svg";
const FAMILIES = "'DejaVu Sans', Verdana, sans-serif";
const FAR = 4; // pixels: a hand that moved less has clicked
const LEAST_LETTERS = 11; // pixels
const PAGE = 10; // steps of the keys for a page up or down
const GROUPED = 20; // pixels: a column that changes by less is not drawn anew

function made(name, parent, attributes = {}) {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  parent?.appendChild(element);
  return element;
}

function added(name, parent, properties = {}) {
  const element = Object.assign(document.createElement(name), properties);
  parent?.appendChild(element);
  return element;
}

// Attributes that are as they were are not written again.
function set(element, attributes) {
  for (const [key, value] of Object.entries(attributes)) {
    const text = String(value);
    if (element.getAttribute(key) !== text) element.setAttribute(key, text);
  }
}

function unpacked(view) {
  const length = view.getUint32(0, true);
  const head = new Uint8Array(view.buffer, view.byteOffset + 4, length);
  const start = view.byteOffset + 4 + length;
  const points = new Int16Array(view.buffer.slice(start, view.byteOffset + view.byteLength));
  return { ...JSON.parse(new TextDecoder().decode(head)), points };
}

// The first `count` children of a layer, made where they are missing; the others are not shown.
function pool(layer, name, count) {
  while (layer.children.length < count) made(name, layer);
  for (let k = count; k < layer.children.length; k++) set(layer.children[k], { display: "none" });
  return [...layer.children].slice(0, count);
}

class Sheet {
  constructor(parent, pens) {
    this.pens = pens;
    this.scroll = added("div", parent, { className: "tablekit-scroll" });
    this.svg = made("svg", this.scroll, { role: "group", class: "tablekit-sheet" });
    this.paper = made("rect", this.svg, { fill: "#ffffff" });
    this.shapes = made("g", this.svg, { fill: "none", "aria-hidden": "true" });
    this.labels = made("g", this.svg, { "font-family": FAMILIES, "aria-hidden": "true" });
    this.sizes = made("g", this.svg);
  }

  show(frame) {
    const [width, height] = frame.paper;
    this.width = width;
    set(this.svg, { viewBox: `0 0 ${width} ${height}` });
    this.svg.style.aspectRatio = `${width} / ${height}`;
    // In a column too narrow for the drawing it is scrolled, and stays legible.
    const smallest = Math.min(...frame.labels.map((label) => label[5]));
    this.svg.style.minWidth = `${Math.ceil((LEAST_LETTERS * width) / smallest)}px`;
    set(this.paper, { width, height });
    this.showShapes(frame);
    this.showLabels(frame.labels);
  }

  // Where an event is on the paper, and how many hundredths go to a pixel.
  under({ clientX, clientY }) {
    const seen = this.svg.getBoundingClientRect();
    const each = this.width / seen.width;
    return { x: (clientX - seen.left) * each, y: (clientY - seen.top) * each, each };
  }

  showShapes({ shapes, points }) {
    let at = 0;
    const stroke = (count, end) => {
      let text = "";
      for (let k = 0; k < count; k++, at += 2) {
        text += `${k ? "L" : "M"}${points[at]} ${points[at + 1]}`;
      }
      return text + end;
    };
    const paths = pool(this.shapes, "path", shapes.length);
    shapes.forEach(([kind, look, counts], k) => {
      const end = kind === "line" ? "" : "Z";
      const d = counts.map((count) => stroke(count, end)).join("");
      set(paths[k], { display: "inline", d, ...this.look(kind, look) });
    });
  }

  look(kind, look) {
    const [colour, width, dashes] = this.pens[kind === "badge" ? "thin" : look] ?? ["none", 0, []];
    const stroke = {
      stroke: colour,
      "stroke-width": width,
      "stroke-linejoin": "round",
      "stroke-linecap": dashes.length ? "butt" : "round",
      "stroke-dasharray": dashes.join(" ") || "none",
    };
    if (kind === "line") return { fill: "none", "shape-rendering": "auto", ...stroke };
    if (kind === "badge") return { fill: look, "shape-rendering": "auto", ...stroke };
    // Pieces of one face meet edge to edge: no seam shows between them.
    const crisp = kind === "area" ? "crispEdges" : "auto";
    return { fill: look, stroke: "none", "shape-rendering": crisp };
  }

  showLabels(labels) {
    const texts = pool(this.labels, "text", labels.length);
    labels.forEach(([words, x, y, anchor, turn, size, width, bold, colour], k) => {
      const text = texts[k];
      set(text, {
        display: "inline", x, y, fill: colour, "text-anchor": anchor, "font-size": size,
        "font-weight": bold ? "bold" : "normal", "transform": `rotate(${turn} ${x} ${y})`,
        // As long as it was laid out, whichever letters the page has.
        textLength: width, lengthAdjust: "spacingAndGlyphs",
      });
      if (text.textContent !== words) text.textContent = words;
    });
  }
}

// One dimension as a control: where it can be pointed at, where it is drawn out, how it is named.
class Size {
  constructor(name, parent, hand) {
    this.name = name;
    this.group = made("g", parent, { class: "tablekit-size", tabindex: "0", "data-name": name });
    this.line = made("path", this.group, { class: "tablekit-hit" });
    this.box = made("rect", this.group, { class: "tablekit-box" });
    this.mark = made("path", this.group, { class: "tablekit-mark" });
    this.grips = made("g", this.group);
    hand.follow(this);
  }

  // label and grips as in a frame; both may be missing
  place(label, grips) {
    this.places = grips;
    if (label) {
      const [, x, y, anchor, turn, size, width] = label;
      const left = x - { start: 0, middle: width / 2, end: width }[anchor];
      const turned = `rotate(${turn} ${x} ${y})`;
      const box = { x: left - 60, y: y - 0.85 * size, width: width + 120, height: 1.15 * size };
      set(this.box, { ...box, rx: 40, transform: turned });
      set(this.mark, { d: `M${left} ${y + 50}h${width}`, transform: turned });
    } else {
      const [, x, y] = grips[0];
      set(this.box, { x: x - 200, y: y - 200, width: 400, height: 400, rx: 200, transform: "" });
      set(this.mark, { d: "M0 0" });
    }
    const ends = grips.map(([, x, y]) => `${x} ${y}`);
    set(this.line, { d: ends.length === 2 ? `M${ends.join("L")}` : "M0 0" });
    pool(this.grips, "circle", grips.length).forEach((circle, k) => {
      const [, x, y, across, down] = grips[k];
      const way = Math.abs(across) > Math.abs(down) ? "ew-resize" : "ns-resize";
      set(circle, { display: "inline", class: "tablekit-grip", cx: x, cy: y, r: 240 });
      circle.style.cursor = this.given ? way : "pointer";
    });
  }

  tell(about, [text, origin, number]) {
    this.about = about;
    this.given = origin === "given";
    Object.assign(this, { text, origin, number });
    const name = `${about.words}, ${text}, ${origin}`;
    set(this.group, { "data-origin": origin, "aria-label": name });
    if (this.given) {
      set(this.group, {
        role: "slider", "aria-valuemin": about.low, "aria-valuemax": about.high,
        "aria-valuenow": number, "aria-valuetext": text,
      });
    } else {
      set(this.group, { role: "button", "aria-haspopup": "dialog" });
      for (const key of ["min", "max", "now", "text"]) {
        this.group.removeAttribute(`aria-value${key}`);
      }
    }
  }

  // How much more it is once a hand has gone so far from where it took hold, in hundredths.
  drawnOut(from, across, down) {
    const far = ([, x, y]) => Math.hypot(x - from.x, y - from.y);
    const [, , , a, b, each] = [...this.places].sort((one, other) => far(one) - far(other))[0];
    return (across * a + down * b) * each;
  }
}

// What a hand or the keys do with the dimensions, sent to the kernel.
class Hand {
  constructor(model, sheet, cards) {
    Object.assign(this, { model, sheet, cards });
    this.held = null;
  }

  follow(size) {
    const on = (event, action) => size.group.addEventListener(event, action.bind(this));
    on("pointerenter", () => this.cards.hint(size));
    on("pointerleave", () => this.cards.unhint());
    on("focus", () => this.cards.hint(size));
    on("blur", () => this.cards.unhint());
    on("pointerdown", (event) => this.take(size, event));
    on("pointermove", (event) => this.move(size, event));
    on("pointerup", (event) => this.letGo(size, event));
    on("pointercancel", () => (this.held = null));
    on("keydown", (event) => this.key(size, event));
    // A screen reader clicks without a hand.
    on("click", (event) => event.detail === 0 && this.cards.open(size));
  }

  take(size, event) {
    if (event.button !== 0) return;
    const { each, ...from } = this.sheet.under(event);
    const { clientX, clientY } = event;
    this.held = { size, from, clientX, clientY, each, number: size.number, moved: false };
    // A finger that has not tapped it scrolls the page.
    this.held.mayDraw = event.pointerType !== "touch" || this.tapped === size;
    if (!this.held.mayDraw) return;
    // How it grows stays as it was where the hand took hold: the drawing moves under it.
    this.held.places = size.places;
    size.group.setPointerCapture(event.pointerId);
    size.group.focus({ preventScroll: true });
    event.preventDefault();
  }

  move(size, event) {
    const held = this.held;
    if (held?.size !== size) return;
    const across = event.clientX - held.clientX, down = event.clientY - held.clientY;
    held.moved ||= Math.hypot(across, down) > FAR;
    if (!held.moved || !held.mayDraw || !size.given || !held.places.length) return;
    const more = Size.prototype.drawnOut.call(
      held, held.from, across * held.each, down * held.each,
    );
    this.say(size, held.number + more);
  }

  letGo(size) {
    const held = this.held;
    this.held = null;
    if (held?.size !== size || (held.moved && (size.given || !held.mayDraw))) return;
    this.tap(size);
    this.cards.open(size);
  }

  tap(size) {
    this.tapped?.group.classList.remove("tablekit-tapped");
    size.group.classList.add("tablekit-tapped");
    this.tapped = size;
  }

  key(size, event) {
    const { step, low, high } = size.about;
    const steps = {
      ArrowUp: step, ArrowRight: step, ArrowDown: -step, ArrowLeft: -step,
      PageUp: PAGE * step, PageDown: -PAGE * step,
      Home: low - size.number, End: high - size.number,
    };
    if (event.key === "Enter" || event.key === " ") this.cards.open(size);
    else if (event.key === "Escape") this.cards.unhint();
    else if (event.key in steps && size.given) this.say(size, size.number + steps[event.key]);
    else return;
    event.preventDefault();
    event.stopPropagation();
  }

  say(size, number) {
    const { low, high } = size.about;
    const within = Math.min(Math.max(number, low), high);
    if (within === size.number) return;
    size.number = within;
    // The model sends the newest of these once the kernel is done with the one before.
    const [, , count] = this.model.get("moved");
    this.model.set("moved", [size.name, within, count + 1]);
    this.model.save_changes();
  }
}

// What is told of a dimension: a hint while it is pointed at, a card in which it is changed.
class Cards {
  constructor(model, holder) {
    Object.assign(this, { model, holder });
    this.tip = added("div", holder, { className: "tablekit-tip", hidden: true });
    this.tip.setAttribute("aria-hidden", "true"); // the dimension's own name says the same
    this.card = added("form", holder, { className: "tablekit-card", hidden: true });
    this.card.setAttribute("role", "dialog");
    this.fill();
  }

  fill() {
    const head = added("div", this.card, { className: "tablekit-head" });
    this.name = added("strong", head);
    const shut = added("button", head, { type: "button", textContent: "×" });
    shut.setAttribute("aria-label", "Close");
    this.meaning = added("p", this.card);
    const line = added("div", this.card, { className: "tablekit-line" });
    this.field = added("input", line, { type: "text", autocomplete: "off", spellcheck: false });
    this.change = added("button", line, { type: "submit", textContent: "Set" });
    this.origin = added("p", this.card);
    this.turn = added("button", this.card, { type: "button" });
    this.wrong = added("p", this.card, { className: "tablekit-wrong" });
    this.wrong.setAttribute("role", "alert");
    shut.addEventListener("click", () => this.close(true));
    this.card.addEventListener("submit", (event) => {
      event.preventDefault();
      this.sent = true;
      this.model.send({ do: "type", name: this.size.name, text: this.field.value });
    });
    this.turn.addEventListener("click", () => {
      this.model.send({ do: this.size.given ? "release" : "give", name: this.size.name });
    });
    this.card.addEventListener("keydown", (event) => {
      event.stopPropagation();
      if (event.key === "Escape") this.close(true);
    });
    this.card.addEventListener("focusout", ({ relatedTarget }) => {
      // A click on nothing leaves the card; one within it, or of a button it disables, does not.
      if (relatedTarget && !this.card.contains(relatedTarget)) this.close(false);
    });
  }

  hint(size) {
    if (!this.card.hidden) return;
    this.hinted = size;
    const what = size.given ? "drag its arrow, or click to change it" : "click to change it";
    this.tip.replaceChildren();
    added("strong", this.tip, { textContent: `${size.about.words}: ${size.text}` });
    added("div", this.tip, { textContent: `${size.about.meaning}. ${said(size.origin)}; ${what}.` });
    this.tip.hidden = false;
    this.put(this.tip, size);
  }

  unhint() {
    this.tip.hidden = true;
  }

  open(size) {
    this.unhint();
    if (this.size !== size) this.wrong.textContent = ""; // that was of another
    this.size = size;
    this.sent = false;
    this.card.hidden = false;
    this.card.setAttribute("aria-label", size.about.words);
    this.refresh(true);
    this.put(this.card, size);
    this.field.focus({ preventScroll: true });
    this.field.select();
  }

  close(back) {
    this.card.hidden = true;
    if (back) this.size.group.focus({ preventScroll: true });
  }

  refresh(typed = document.activeElement !== this.field) {
    if (!this.tip.hidden) this.hint(this.hinted);
    if (this.card.hidden) return;
    const { about, given, origin, text } = this.size;
    this.name.textContent = about.words;
    this.meaning.textContent = `${about.meaning}.`;
    this.field.setAttribute("aria-label", `${about.words}, with its unit`);
    if (typed) this.field.value = text;
    this.origin.textContent = `${said(origin)}: ${text}`;
    this.turn.textContent = given ? "Calculate it instead" : "Fix this value";
  }

  // What was typed is taken and the card has done its work, or it says why not.
  answer(refused) {
    this.wrong.textContent = refused;
    if (this.sent && !refused && !this.card.hidden) this.close(true);
    this.sent = false;
  }

  // Beside the dimension, wholly inside the drawing where there is room.
  put(box, size) {
    const room = this.holder.getBoundingClientRect(), at = size.box.getBoundingClientRect();
    const left = Math.min(at.left - room.left, room.width - box.offsetWidth - 4);
    const below = at.bottom - room.top + 8, above = at.top - room.top - box.offsetHeight - 8;
    const top = below + box.offsetHeight <= room.height || above < 0 ? below : above;
    box.style.left = `${Math.max(left, 4)}px`;
    box.style.top = `${Math.max(Math.min(top, room.height - box.offsetHeight - 4), 4)}px`;
  }
}

const ORIGINS = { given: "Given", found: "Calculated", assumed: "Assumed" };
const said = (origin) => ORIGINS[origin] ?? origin;

// The dimensions of a drawing: gives what shows a message and what lets go of the page.
function dimensions(model, sheet, holder) {
  const note = "The last design that could be made";
  added("div", holder, { className: "tablekit-old-note", textContent: note });
  const cards = new Cards(model, holder);
  const hand = new Hand(model, sheet, cards);
  const sizes = new Map();
  let told;

  const tell = () => {
    const about = model.get("about"), told = model.get("sizes");
    for (const [name, size] of sizes) {
      const known = name in about && name in told;
      set(size.group, { display: known ? "inline" : "none" });
      if (known) size.tell(about[name], told[name]);
    }
    cards.refresh();
  };
  const place = (frame) => {
    const labels = new Map(frame.labels.map((label) => [label.at(-1), label]));
    labels.delete("");
    const names = new Set([...labels.keys(), ...frame.grips.map(([name]) => name)]);
    for (const name of names) {
      if (!sizes.has(name)) sizes.set(name, new Size(name, sheet.sizes, hand));
    }
    tell();
    for (const [name, size] of sizes) {
      if (names.has(name)) size.place(labels.get(name), frame.grips.filter(([of]) => of === name));
      else set(size.group, { display: "none" });
    }
  };
  return (frame) => {
    const [sizes, about, refused] = ["sizes", "about", "refused"].map((key) => model.get(key));
    if (frame) place(frame);
    else if (sizes !== told?.sizes || about !== told?.about) tell();
    else if (refused === told?.refused) return;
    cards.answer(refused);
    told = { sizes, about, refused };
  };
}

// A map of designs: its point is moved, and what is pointed at is read out.
class Plane {
  constructor(model, sheet, holder) {
    Object.assign(this, { model, sheet, holder, held: false, wanted: [0, 0] });
    this.lines = made("path", sheet.sizes, { class: "tablekit-through", "aria-hidden": "true" });
    this.fixed = model.get("plane").fixed;
    this.point = made("g", sheet.sizes, this.fixed
      ? { class: "tablekit-point", role: "img" }
      : { class: "tablekit-point", tabindex: "0", role: "slider" });
    made("circle", this.point, { r: 550, class: "tablekit-hold" });
    made("circle", this.point, { r: 200, class: "tablekit-ring" });
    made("circle", this.point, { r: 70, class: "tablekit-dot" });
    this.tip = added("div", holder, { className: "tablekit-tip", hidden: true });
    this.tip.setAttribute("aria-hidden", "true"); // the point's own name says the same
    const on = (event, action) => sheet.svg.addEventListener(event, action.bind(this));
    on("pointermove", this.move);
    on("pointerleave", () => (this.tip.hidden = true));
    if (this.fixed) return;
    on("pointerdown", this.take);
    on("pointerup", () => (this.held = false));
    on("pointercancel", () => (this.held = false));
    on("click", (event) => this.goTo(event));
    this.point.addEventListener("keydown", this.key.bind(this));
  }

  show(frame) {
    this.plane = this.model.get("plane");
    const bytes = this.model.get("grid"), [across, up] = this.plane.size, count = across * up;
    const own = bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength);
    this.values = new Float32Array(own, 0, count);
    this.failing = new Uint32Array(own, 4 * count, count);
    this.cautioning = new Uint32Array(own, 8 * count, count);
    this.verdicts = new Int8Array(own, 12 * count, count);
    this.reasons = new Uint8Array(own, 13 * count, count);
    if (frame) this.tip.hidden = true;
    this.tell();
  }

  tell() {
    const { x, y, room } = this.plane;
    const [a, b, across, up, said] = this.model.get("point");
    if (!this.held) this.wanted = [a, b];
    const [left, top, width, height] = room;
    const at = [left + (width * (a - x.low)) / (x.high - x.low),
      top + height - (height * (b - y.low)) / (y.high - y.low)].map(Math.round);
    const seen = at[0] >= left && at[0] <= left + width && at[1] >= top && at[1] <= top + height;
    set(this.lines, { display: seen ? "inline" : "none",
      d: `M${at[0]} ${top}v${height}M${left} ${at[1]}h${width}` });
    const within = [Math.min(Math.max(at[0], left), left + width),
      Math.min(Math.max(at[1], top), top + height)];
    set(this.point, { transform: `translate(${within})`, "data-outside": !seen });
    const text = `${x.words} ${across}, ${y.words} ${up}${said ? `. ${said}` : ""}`;
    set(this.point, this.fixed ? { "aria-label": text } : {
      "aria-label": `This design: ${x.words} left and right, ${y.words} up and down`,
      "aria-valuemin": x.low, "aria-valuemax": x.high, "aria-valuenow": a, "aria-valuetext": text,
    });
  }

  // What lies at a place on the paper; nothing outside the map.
  at({ x, y }) {
    const [left, top, width, height] = this.plane.room;
    const shares = [(x - left) / width, (top + height - y) / height];
    if (shares.some((share) => share < 0 || share > 1)) return null;
    const [across, up] = this.plane.size;
    const [column, row] = [shares[0] * (across - 1), shares[1] * (up - 1)].map(Math.round);
    const ends = [this.plane.x, this.plane.y];
    const place = ends.map(({ low, high }, k) => low + shares[k] * (high - low));
    return { place, cell: row * across + column };
  }

  take(event) {
    if (event.button !== 0) return;
    // A finger scrolls the page, but for one on the point.
    if (event.pointerType === "touch" && !this.point.contains(event.target)) return;
    if (!this.at(this.sheet.under(event))) return;
    this.held = true;
    this.sheet.svg.setPointerCapture(event.pointerId);
    this.point.focus({ preventScroll: true });
    event.preventDefault();
  }

  move(event) {
    const found = this.at(this.sheet.under(event));
    this.tip.hidden = !found;
    if (!found) return;
    this.readOut(found, event);
    if (this.held) this.want(found);
  }

  goTo(event) {
    const found = this.at(this.sheet.under(event));
    if (found) this.want(found);
  }

  // A design that cannot be made is not gone to.
  want({ place, cell }) {
    if (this.verdicts[cell]) this.say(place);
  }

  key(event) {
    const { x, y } = this.plane, many = event.shiftKey ? PAGE : 1;
    const ways = {
      ArrowRight: [x.step, 0], ArrowLeft: [-x.step, 0], ArrowUp: [0, y.step], ArrowDown: [0, -y.step],
      PageUp: [0, PAGE * y.step], PageDown: [0, -PAGE * y.step],
      Home: [x.low - this.wanted[0], 0], End: [x.high - this.wanted[0], 0],
    };
    if (!(event.key in ways)) return;
    event.preventDefault();
    event.stopPropagation();
    const within = ({ low, high }, number) => Math.min(Math.max(number, low), high);
    const [across, up] = ways[event.key];
    this.say([within(x, this.wanted[0] + many * across), within(y, this.wanted[1] + many * up)]);
  }

  say(place) {
    this.wanted = place;
    const [, , count] = this.model.get("wanted");
    this.model.set("wanted", [...place, count + 1]);
    this.model.save_changes();
  }

  readOut({ place, cell }, { clientX, clientY }) {
    const { x, y, third, words, failed, cautioned, reasons } = this.plane;
    const verdict = this.verdicts[cell], value = this.values[cell];
    const [names, bits] = words[verdict] === "fail" ? [failed, this.failing[cell]] : [cautioned, this.cautioning[cell]];
    const named = names.filter((_, k) => (bits >>> k) & 1);
    const lines = [`${x.words} ${read(x, place[0])}, ${y.words} ${read(y, place[1])}`];
    if (!Number.isNaN(value)) lines.push(`${third.words} ${read(third, value)}`);
    const why = verdict ? named.join(", ") : reasons[this.reasons[cell] - 1];
    lines.push(why ? `${words[verdict]}: ${why}` : words[verdict]);
    this.tip.replaceChildren();
    lines.forEach((text, k) => added(k ? "div" : "strong", this.tip, { textContent: text }));
    const seen = this.holder.getBoundingClientRect(), across = clientX - seen.left;
    const beyond = across + this.tip.offsetWidth + 24 > seen.width;
    this.tip.style.left = `${Math.max(across + (beyond ? -this.tip.offsetWidth - 16 : 16), 0)}px`;
    this.tip.style.top = `${clientY - seen.top + 12}px`;
  }
}

// A number in the maker's unit.
function read({ per, unit, places }, number) {
  return `${(number * per).toFixed(places).replace("-", "−")}${unit}`;
}

function planeOf(model, sheet, holder) {
  const plane = new Plane(model, sheet, holder);
  let grid;
  return (frame) => {
    if (frame || model.get("grid") !== grid) plane.show(frame);
    else plane.tell();
    grid = model.get("grid");
  };
}

function render({ model, el }) {
  el.classList.add("tablekit-drawing");
  el.setAttribute("data-lm-suppress-shortcuts", "true"); // the keys are the drawing's
  const holder = added("div", el, { className: "tablekit-holder" });
  const sheet = new Sheet(holder, model.get("pens"));
  const tell = (model.get("plane") ? planeOf : dimensions)(model, sheet, holder);
  // Once for all that a message changes.
  let shown;
  const changed = () => {
    const view = model.get("frame");
    if (!view?.byteLength) return;
    const frame = view === shown ? null : unpacked(view);
    shown = view;
    if (frame) {
      sheet.show(frame);
      set(sheet.svg, { "aria-label": model.get("label") });
    }
    tell(frame);
  };
  model.on("change", changed);

  const watch = new ResizeObserver(() => {
    const width = holder.clientWidth;
    if (!width) return;
    el.closest(".tablekit-picture")?.classList.add("tablekit-live");
    const room = Math.max(GROUPED, width - (width % GROUPED));
    if (room === model.get("room")) return;
    model.set("room", room);
    model.save_changes();
  });
  watch.observe(holder);
  changed();
  return () => {
    watch.disconnect();
    model.off("change", changed);
  };
}

// What a frame carries of other controls, by their models.
function initialize({ model }) {
  const hand = () => {
    for (const [id, state] of Object.entries(model.get("others")[1])) tellOther(model, id, state);
  };
  model.on("change:others", hand);
  return () => model.off("change:others", hand);
}

// A slider that is told a size would tell it back, off by the last bits of its own steps, and the
// kernel would hear that before the next move of the hand.
async function tellOther(model, id, state) {
  const other = await model.widget_manager.get_model(id);
  if (!other) return;
  other.save_changes = () => {};
  try {
    await other.set_state(state);
  } finally {
    delete other.save_changes; // back to that of its kind
  }
}

export default { initialize, render };
