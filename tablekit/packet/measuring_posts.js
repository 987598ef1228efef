// How three posts stand as measured. `asCut` has the formulas; here is which corners touch, and what
// the maker reads. Returns what is said of the sizes, and whether the table has the answer.
const howItStands = (posts, { MM, fine, long, fill, least }) => {
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
        ...given, ...resting(posts.feet, tried), ...resting(posts.heads, tried),
      });
      if (!posts.onPads && found[posts.floor] < lowest) {
        [lowest, feet] = [found[posts.floor], tried];
      }
      if (found[posts.under] > highest) [highest, heads] = [found[posts.under], tried];
    }
    return asCut({ ...given, ...resting(posts.feet, feet), ...resting(posts.heads, heads) });
  };
  const wrong = (found) => {
    const broken = Object.keys(posts.limits).find((one) => found[one] < -least);
    const shown = [posts.height, posts.rim, posts.used, ...posts.high, ...posts.plays];
    if (!broken && shown.every((one) => Number.isFinite(found[one]))) return "";
    const lead = "As measured, the posts no longer fit one another";
    return broken
      ? `${lead}: it takes that ${posts.limits[broken]}, and it is ${fine(-found[broken])} ` +
        "short of that."
      : `${lead}.`;
  };

  const answered = (found, plays, smallTop) => {
    const high = posts.high.map((one) => found[one]);
    const low = high.indexOf(Math.min(...high)) + 1;
    const rim = found[posts.rim];
    const over = rim > 0.05 * MM ? `low over head ${low}` : "";
    fill("height", long(found[posts.height]));
    high.forEach((one, k) => fill(`head-${k + 1}`, long(one)));
    fill("rim", fine(rim), over);
    plays.forEach((play, k) => fill(`notch-${k + 1}`, fine(Math.abs(play)),
      play < -least ? "too narrow for the post in it" : "clearance of the post in it"));
    const says = [
      found[posts.used] <= posts.slope
        ? `Level within what is visible: ${fine(rim)} across the rim.`
        : `Not level: ${fine(rim)} across the rim, ${over}.`,
    ];
    const [tight, loose] = [Math.min(...plays), Math.max(...plays)];
    if (tight < -least) {
      says.push(`Notch ${plays.indexOf(tight) + 1} is ${fine(-tight)} too narrow for the post ` +
        "in it, so the joint does not go together.");
    } else if (loose > posts.loose + least) {
      says.push(`Notch ${plays.indexOf(loose) + 1} is loose, with ${fine(loose)} of play.`);
    }
    if (smallTop && found[posts.overhang] < -least) {
      says.push(`The middle of a head lies ${fine(-found[posts.overhang])} beyond the rim.`);
    }
    return says.join(" ");
  };
  return (sizes) => {
    const given = { ...posts.given };
    for (const [field, found] of sizes) {
      for (const name of field.names) given[name] = found.size;
    }
    const found = stand(given);
    const ill = wrong(found);
    if (ill) return [ill, false];
    // A notch that is not cut yet is knifed to the post that goes in it.
    const cut = new Set([...sizes.keys()].map((one) => one.id));
    const plays = posts.plays.map((one, k) =>
      posts.notches[k].some((own) => cut.has(own)) ? found[one] : posts.fitted);
    const smallTop = given[posts.diameter] < posts.drawnDiameter - least;
    return [answered(found, plays, smallTop), true];
  };
};
