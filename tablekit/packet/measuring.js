// What was measured is read from its fields, remembered on this device, and answered at once: by
// howItStands for posts or legs, and by asGlued, which has the formulas, for the strips of the top.
// `piece.stands` or `piece.panel` is null where the page has no fields for it.
(() => {
  const form = document.querySelector(".measuring");
  const piece = JSON.parse(form.dataset.measuring);
  const { panel } = piece;
  const [verdict, copied] = form.querySelectorAll("[role=status]");
  const [table, button, text] = ["[role=region]", "button", "textarea"].map(
    (one) => form.querySelector(one));
  const MM = 1e-3;
  const INCH = 0.0254;

  // -- sizes as they are typed and read

  // {size: in metres or radians, text: as a brief says it}, or null where it is no size.
  const read = (typed, field) => {
    const below = field.range[0] < 0 && /^[-−]/.test(typed);
    const found = readUp(below ? typed.slice(1).trim() : typed, field);
    return found && below ? { size: -found.size, text: `-${found.text}` } : found;
  };
  const readUp = (typed, field) => {
    const plain = /^(\d{0,6})(?:[.,](\d{1,9}))?$/;
    const decimal = (line, unit, name) => {
      if (!plain.exec(line) || !line) return null;
      const said = line.replace(",", ".");
      return { size: Number(said) * unit, text: `${said.replace(/^\./, "0.")} ${name}` };
    };
    if (field.turns) return decimal(typed.replace(/\s*(?:°|deg)$/, ""), piece.degree, "deg");
    if (!piece.inches) return decimal(typed.replace(/\s*mm$/, ""), piece.unit, "mm");
    const line = typed.replace(/\s*(?:in|"|″|”|'')$/, "").replace("⁄", "/");
    const parts = /^(?:(\d{1,4})[ -]+)?(\d{1,4}) ?\/ ?(\d{1,4})$/.exec(line);
    if (parts && Number(parts[3])) {
      const [, whole, above, below] = parts;
      const said = `${whole ? `${whole} ` : ""}${above}/${below}`;
      return { size: (Number(whole || 0) + above / below) * piece.unit, text: `${said} in` };
    }
    return decimal(line, piece.unit, "in");
  };
  const figures = (number) => {
    if (number < 1e-4) return "0";
    const places = Math.max(1 - Math.floor(Math.log10(number)), 0);
    const said = number.toFixed(places);
    return said.includes(".") ? said.replace(/\.?0+$/, "") : said;
  };
  const fraction = (inches) => {
    let [above, below] = [Math.round(inches * 64), 64];
    while (above % 2 === 0 && below > 1) [above, below] = [above / 2, below / 2];
    const [whole, rest] = [Math.floor(above / below), above % below];
    return [whole || !rest ? `${whole}` : "", rest ? `${rest}/${below}` : ""].join(" ").trim();
  };
  // A small length: two figures of a millimetre, thousandths of an inch up to a sixteenth.
  const fine = (metres) => {
    if (!piece.inches) return `${figures(metres / MM)}\u00a0mm`;
    const inches = metres / INCH;
    return inches < 1 / 16 - 1e-6
      ? `${figures(1000 * inches)}\u00a0thou` : `${fraction(inches)}\u00a0in`;
  };
  const long = (metres) => piece.inches ? fine(metres) : `${(metres / MM).toFixed(1)}\u00a0mm`;
  const plainly = (metres) => long(metres).replace(".0\u00a0", "\u00a0");

  // -- the answer

  const fill = (name, size, where) => {
    const row = form.querySelector(`[data-answer=${name}]`);
    const [, figure, remark] = row.children;
    row.hidden = size === "";
    figure.textContent = size;
    if (where !== undefined) remark.textContent = where;
  };
  const standing = piece.stands
    && howItStands(piece.stands, { MM, fine, long, plainly, fill, least: piece.least });
  // Whether the round fits on its strips, and where its centre may lie.
  const onThePanel = (widths, centre) => {
    const all = [...widths, ...panel.planned.slice(widths.length)];
    const wide = all.reduce((sum, one) => sum + one, 0);
    const found = asGlued({ ...panel.given, panel_width: wide });
    const round = `a round of ${plainly(panel.given.top_diameter)} with ` +
      `${plainly(panel.given.top_margin)} outside it`;
    const [next, last] = [widths.length + 1, all.length];
    const counted = next > last ? ""
      : next === last ? ` Strip ${last} counts as planned.`
        : ` Strips ${next} to ${last} count as planned.`;
    if (found.panel_spare < -piece.least) {
      return `The panel is ${plainly(wide)} wide, ${plainly(-found.panel_spare)} too narrow for ` +
        `${round}. The largest round it has is ${plainly(found.largest_round)} across.${counted}`;
    }
    const spare = found.panel_spare > piece.least ? plainly(found.panel_spare) : "nothing";
    const [low, high] = [found.nearest_centre, found.farthest_centre];
    const room = `between ${plainly(low)} and ${plainly(high)} from the outer edge of strip 1`;
    const place = centre === null ? `The centre may lie ${room}.`
      : centre < low - piece.least || centre > high + piece.least
        ? `The centre is too near an edge; it has to lie ${room}.`
        : `The centre is right; it may lie ${room}.`;
    return `The panel is ${plainly(wide)} wide, enough for ${round}, with ${spare} to spare. ` +
      `${place}${counted}`;
  };
  const say = (words, shown) => {
    if (verdict.textContent !== words) verdict.textContent = words;
    if (table) table.hidden = !shown;
  };
  const brief = (sizes) => {
    const lines = ["[as_cut]"];
    for (const part of new Set(piece.fields.map((one) => one.table))) {
      const own = piece.fields.filter((one) => one.table === part && sizes.has(one));
      const said = own.map((one) => `${one.key} = "${sizes.get(one).text}"`);
      if (part === piece.boards) {
        const strips = own.filter((one) => one.key !== "centre").map((one) => sizes.get(one).text);
        if (strips.length) lines.push(`boards = [${strips.map((one) => `"${one}"`).join(", ")}]`);
        lines.push(...said.filter((one) => one.startsWith("centre")));
      } else if (part && said.length) lines.push(`${part} = { ${said.join(", ")} }`);
      else if (!part) lines.push(...said);
    }
    lines.push(...piece.kept);
    return `${lines.join("\n")}\n`;
  };
  const input = (field) => document.getElementById(field.id);
  // About ten times, or as an inch to a millimetre, what was drawn.
  const wrongUnit = (size, drawn) => piece.ratios.some((ratio) =>
    Math.abs(Math.abs(Math.log(size / drawn)) - Math.log(ratio)) < piece.near);
  const complaint = (typed, found, field) => {
    const [[low, high], [least, most]] = [field.range, field.says];
    if (!found) {
      return `“${typed.slice(0, 20)}” is not a size; write it as ` +
        (field.turns ? "16.5 or 16,5" : piece.inches ? "44 3/16 or 44.19" : "1146.5 or 1146,5");
    }
    const near = 1e-9 * high; // so that a limit itself may be typed
    if (found.size < low - near || found.size > high + near) {
      return `must be from ${least} to ${most}`;
    }
    return field.drawn && wrongUnit(found.size, field.drawn)
      ? `was drawn ${field.shown}; is it in the right unit?` : "";
  };
  // Strips are measured in order, so that it is known which are still as planned.
  const outOfOrder = (strips, filled) => {
    const last = strips.findLastIndex((one) => one.key !== "centre" && filled(one));
    const first = strips.findIndex((one) => one.key !== "centre" && !filled(one));
    if (last > first && first >= 0) return [strips[first], "measure this strip too"];
    const centre = strips.find((one) => one.key === "centre");
    return last < 0 && centre && filled(centre) ? [strips[0], "measure the strips first"] : null;
  };
  const look = () => {
    const [sizes, waiting] = [new Map(), []];
    const strips = piece.fields.filter((one) => one.table === piece.boards);
    const missed = outOfOrder(strips, (one) => input(one).value.trim() !== "");
    for (const field of piece.fields) {
      const box = input(field);
      const typed = box.value.trim().replace(/\s+/g, " ");
      const found = typed ? read(typed, field) : null;
      const said = typed ? complaint(typed, found, field)
        : missed && missed[0] === field ? missed[1] : "";
      box.setAttribute("aria-invalid", String(said !== ""));
      document.getElementById(`${field.id}-wrong`).textContent = said;
      if (said) waiting.push(field.label);
      else if (found) sizes.set(field, found);
    }
    button.disabled = waiting.length > 0 || sizes.size === 0;
    text.value = brief(sizes);
    if (waiting.length) say(`Waiting for a valid size at ${waiting.join("; ")}.`, false);
    else if (!sizes.size) say("Nothing is measured yet.", false);
    else answer(sizes, strips);
  };
  const answer = (sizes, strips) => {
    const measured = strips.filter((one) => sizes.has(one));
    const widths = measured.filter((one) => one.key !== "centre").map((one) => sizes.get(one).size);
    const centre = measured.find((one) => one.key === "centre");
    // Once the round is cut its panel is gone.
    const round = [...sizes.keys()].some((one) => one.key === "top_diameter");
    const [stands, shown] = standing && sizes.size > measured.length ? standing(sizes) : ["", false];
    const glued = widths.length && !round
      ? onThePanel(widths, centre ? sizes.get(centre).size : null) : "";
    say([stands, glued].filter(Boolean).join(" ") || "Nothing is to be said of that alone.", shown);
  };

  // -- what stays on this device, and what is copied

  let store = null;
  try {
    store = window.localStorage;
  } catch (refused) {
    store = null;
  }
  const key = (field) => JSON.stringify(["tablekit", document.body.dataset.piece, field.id]);
  for (const field of piece.fields) {
    const box = input(field);
    try {
      const kept = store === null ? null : store.getItem(key(field));
      if (kept !== null) box.value = kept;
    } catch (refused) {
      store = null;
    }
    box.addEventListener("input", () => {
      copied.textContent = "";
      try {
        // An emptied field stays empty where the brief has a size for it.
        if (store && (box.value || box.defaultValue)) store.setItem(key(field), box.value);
        else if (store) store.removeItem(key(field));
      } catch (refused) {
        store = null;
      }
      look();
    });
  }
  button.addEventListener("click", async () => {
    text.hidden = false;
    text.select();
    let done = false;
    try {
      await navigator.clipboard.writeText(text.value);
      done = true;
    } catch (refused) {
      done = document.execCommand("copy");
    }
    copied.textContent = done ? "Copied." : "Copy the text below by hand.";
  });
  look();
  form.hidden = false;
})();
