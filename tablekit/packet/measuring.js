// What was measured is read from its fields, remembered on this device, and answered at once by
// asCut, which holds the formulas. Here is only what the maker reads, and which corners touch.
(() => {
  const form = document.querySelector(".measuring");
  const piece = JSON.parse(form.dataset.measuring);
  const [verdict, copied] = form.querySelectorAll("[role=status]");
  const [table, button, text] = ["[role=region]", "button", "textarea"].map(
    (one) => form.querySelector(one));
  const MM = 1e-3;
  const INCH = 0.0254;

  // -- sizes as they are typed and read

  // {size: in metres, text: as a brief says it}, or null where it is no size.
  const read = (typed) => {
    const plain = /^(\d{0,6})(?:[.,](\d{1,9}))?$/;
    if (!piece.inches) {
      const line = typed.replace(/\s*mm$/, "");
      const found = plain.exec(line);
      if (!found || !line) return null;
      const said = line.replace(",", ".");
      return { size: Number(said) * piece.unit, text: `${said.replace(/^\./, "0.")} mm` };
    }
    const line = typed.replace(/\s*(?:in|"|″|”|'')$/, "").replace("⁄", "/");
    const parts = /^(?:(\d{1,4})[ -]+)?(\d{1,4}) ?\/ ?(\d{1,4})$/.exec(line);
    if (parts && Number(parts[3])) {
      const [, whole, above, below] = parts;
      const said = `${whole ? `${whole} ` : ""}${above}/${below}`;
      return { size: (Number(whole || 0) + above / below) * piece.unit, text: `${said} in` };
    }
    if (!plain.exec(line) || !line) return null;
    const said = line.replace(",", ".");
    return { size: Number(said) * piece.unit, text: `${said.replace(/^\./, "0.")} in` };
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

  // -- how it stands

  const corners = [];
  for (let one = 0; one < 27; one += 1) {
    const chosen = [Math.floor(one / 9), Math.floor(one / 3) % 3, one % 3];
    corners.push([0, 1, 2].flatMap((edge) => chosen.map((own) => Number(own === edge))));
  }
  const resting = (names, numbers) => Object.fromEntries(names.map((n, k) => [n, numbers[k]]));
  // Of all floors through one corner of each foot the lowest; of all tops the highest.
  const stand = (given) => {
    let [lowest, highest] = [Infinity, -Infinity];
    let feet = new Array(9).fill(0);
    let heads = corners[0];
    for (const tried of corners) {
      const found = asCut({
        ...given, ...resting(piece.feet, tried), ...resting(piece.heads, tried),
      });
      if (!piece.onPads && found[piece.floor] < lowest) {
        [lowest, feet] = [found[piece.floor], tried];
      }
      if (found[piece.under] > highest) [highest, heads] = [found[piece.under], tried];
    }
    return asCut({ ...given, ...resting(piece.feet, feet), ...resting(piece.heads, heads) });
  };
  const wrong = (found) => {
    const broken = Object.keys(piece.limits).find((one) => found[one] < -piece.least);
    const shown = [piece.height, piece.rim, piece.used, ...piece.high, ...piece.plays];
    if (!broken && shown.every((one) => Number.isFinite(found[one]))) return "";
    const lead = "As measured, the posts no longer fit one another";
    return broken
      ? `${lead}: it takes that ${piece.limits[broken]}, and it is ${fine(-found[broken])} ` +
        "short of that."
      : `${lead}.`;
  };

  // -- the answer

  const fill = (name, size, where) => {
    const [, figure, remark] = form.querySelector(`[data-answer=${name}]`).children;
    figure.textContent = size;
    if (where !== undefined) remark.textContent = where;
  };
  const answered = (found, plays, smallTop) => {
    const high = piece.high.map((one) => found[one]);
    const low = high.indexOf(Math.min(...high)) + 1;
    const rim = found[piece.rim];
    const over = rim > 0.05 * MM ? `low over head ${low}` : "";
    fill("height", long(found[piece.height]));
    high.forEach((one, k) => fill(`head-${k + 1}`, long(one)));
    fill("rim", fine(rim), over);
    plays.forEach((play, k) => fill(`notch-${k + 1}`, fine(Math.abs(play)),
      play < -piece.least ? "too narrow for the post in it" : "clearance of the post in it"));
    const says = [
      found[piece.used] <= piece.slope
        ? `Level within what is visible: ${fine(rim)} across the rim.`
        : `Not level: ${fine(rim)} across the rim, ${over}.`,
    ];
    const [tight, loose] = [Math.min(...plays), Math.max(...plays)];
    if (tight < -piece.least) {
      says.push(`Notch ${plays.indexOf(tight) + 1} is ${fine(-tight)} too narrow for the post ` +
        "in it, so the joint does not go together.");
    } else if (loose > piece.loose + piece.least) {
      says.push(`Notch ${plays.indexOf(loose) + 1} is loose, with ${fine(loose)} of play.`);
    }
    if (smallTop && found[piece.overhang] < -piece.least) {
      says.push(`The middle of a head lies ${fine(-found[piece.overhang])} beyond the rim.`);
    }
    return says.join(" ");
  };
  const say = (words, shown) => {
    if (verdict.textContent !== words) verdict.textContent = words;
    table.hidden = !shown;
  };
  const brief = (sizes) => {
    const lines = ["[as_cut]"];
    for (const post of new Set(piece.fields.map((one) => one.table))) {
      const own = piece.fields.filter((one) => one.table === post && sizes.has(one));
      const said = own.map((one) => `${one.key} = "${sizes.get(one).text}"`);
      if (post && said.length) lines.push(`${post} = { ${said.join(", ")} }`);
      else if (!post) lines.push(...said);
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
        (piece.inches ? "44 3/16 or 44.19" : "1146.5 or 1146,5");
    }
    const near = 1e-9 * high; // so that a limit itself may be typed
    if (found.size < low - near || found.size > high + near) {
      return `must be from ${least} to ${most}`;
    }
    return field.drawn && wrongUnit(found.size, field.drawn)
      ? `was drawn ${field.shown}; is it in the right unit?` : "";
  };
  const look = () => {
    const [sizes, waiting, given] = [new Map(), [], { ...piece.given }];
    for (const field of piece.fields) {
      const box = input(field);
      const typed = box.value.trim().replace(/\s+/g, " ");
      const found = typed ? read(typed) : null;
      const said = typed ? complaint(typed, found, field) : "";
      box.setAttribute("aria-invalid", String(said !== ""));
      document.getElementById(`${field.id}-wrong`).textContent = said;
      if (said) waiting.push(field.label);
      else if (found) {
        sizes.set(field, found);
        for (const name of field.names) given[name] = found.size;
      }
    }
    button.disabled = waiting.length > 0 || sizes.size === 0;
    text.value = brief(sizes);
    if (waiting.length) say(`Waiting for a valid size at ${waiting.join("; ")}.`, false);
    else if (!sizes.size) say("Nothing is measured yet.", false);
    else {
      const found = stand(given);
      const ill = wrong(found);
      // A notch that is not cut yet is knifed to the post that goes in it.
      const cut = new Set([...sizes.keys()].map((one) => one.id));
      const plays = piece.plays.map((one, k) =>
        piece.notches[k].some((own) => cut.has(own)) ? found[one] : piece.fitted);
      const smallTop = given[piece.diameter] < piece.drawnDiameter - piece.least;
      say(ill || answered(found, plays, smallTop), !ill);
    }
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
