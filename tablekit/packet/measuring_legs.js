// How a piece on legs stands as measured. asSawn, asSquare, asLeg, asFloor, asWanted, asArm and asOff
// have the formulas; here is how low a square foot is cut, which feet bear, and what the maker reads.
// Returns what is said of the sizes, and whether the table has the answer.
const howItStands = (legs, { MM, fine, long, plainly, fill, least }) => {
  const ofLeg = (key) => legs.ofTheLeg.includes(key);
  const named = (names, numbers) => Object.fromEntries(names.map((n, k) => [n, numbers[k]]));
  // One leg, and its drop with the foot as low as it goes; a leg that is not made yet has no such
  // bound, as it is made to suit.
  const oneLeg = (own, top, number) => {
    const [keys, sawn] = [Object.keys(own), "length" in own];
    const turned = keys.some(ofLeg);
    const given = { ...legs.given, ...top, [legs.bearing]: legs.bearings[number] };
    // Without a shoulder, or not made yet, a tenon goes to the bottom of its socket.
    if (!turned || !legs.shouldered) given[legs.inputs.tenon_length] = legs.endless;
    for (const key of keys) given[legs.inputs[key]] = own[key];
    const from = own.length ?? own.blank ?? (turned ? legs.blank : null);
    given[legs.inputs.length] = from;
    const drop = from === null ? Infinity : (sawn ? asSawn : asSquare)(given)[legs.drop];
    return { given, drop, sawn, turned, bored: !keys.every(ofLeg),
      fitted: turned ? null : legs.fitted,
      // Only of a tenon or a socket that was measured it is said how they fit.
      fits: "tenon_diameter" in own || "socket_diameter" in own };
  };
  const offOf = (one, drop) => {
    const plain = asLeg({ ...legs.given, [legs.bearing]: one.given[legs.bearing],
      [legs.inputs.tenon_length]: legs.endless, [legs.drop]: drop });
    return asOff({ ...named(legs.floor.x, [one.found[legs.x], plain[legs.x]]),
      ...named(legs.floor.y, [one.found[legs.y], plain[legs.y]]) })[legs.off];
  };
  // Of four legs three bear, and of two ways to stand it is the one that tilts the top more.
  const floorUnder = (all, top) => {
    const ways = all.length < 4 ? [null] : all.map((_, k) => k);
    const stood = ways.map((other) => {
      const three = all.filter((_, k) => k !== other);
      const places = ["x", "y", "drop"].map((one) =>
        named(legs.floor[one], three.map((leg) => one === "drop" ? leg.drop : leg.found[legs[one]])));
      const fourth = other === null ? {} : named(legs.floor.other,
        [all[other].found[legs.x], all[other].found[legs.y], all[other].drop]);
      const found = asFloor({ ...legs.given, ...top, ...Object.assign({}, ...places), ...fourth });
      return { found, gap: other === null ? 0 : found[legs.gap], other };
    });
    const can = stood.filter((one) => one.gap > -legs.hair);
    return can.reduce((one, next) => next.found[legs.tilt] > one.found[legs.tilt] ? next : one,
      can[0]);
  };
  const stand = (measured, top) => {
    const all = legs.tables.map((table, k) => oneLeg(measured[table], top, k));
    const sawn = all.filter((one) => one.sawn).map((one) => one.drop);
    const wanted = asWanted({ ...legs.given, ...top, [legs.height]: legs.high, [legs.tilt]: 0 });
    const aim = sawn.length ? Math.min(...sawn)
      : Math.min(wanted[legs.below], ...all.map((one) => one.drop));
    for (const one of all) {
      if (!one.sawn) one.drop = Math.min(one.drop, aim);
      one.found = asLeg({ ...one.given, [legs.drop]: one.drop });
      one.off = offOf(one, one.drop);
      one.play = one.fitted ?? one.found[legs.play];
      one.cover = one.found[legs.cover];
    }
    const arms = all.map((one, k) => {
      const two = [one, all[(k + 1) % all.length]].map((leg) => leg.found);
      return asArm({ ...named(legs.floor.x, two.map((leg) => leg[legs.x])),
        ...named(legs.floor.y, two.map((leg) => leg[legs.y])) })[legs.arm];
    });
    return { all, floor: floorUnder(all, top), arm: Math.min(...arms), sawn: sawn.length > 0 };
  };

  // -- what the maker reads

  const ofTheSockets = (all) => all.flatMap((one, k) => {
    const says = [];
    if (one.play < legs.tight) {
      says.push(`Tenon ${k + 1} is ${fine(-one.play)} too thick for its socket.`);
    } else if (one.play > legs.loose + least) {
      says.push(`Tenon ${k + 1} is loose, with ${fine(one.play)} of play.`);
    }
    const touches = one.given[legs.inputs.socket_depth] - one.found[legs.entry] < legs.pared;
    if (!legs.blind || one.cover >= legs.thin) return says;
    if (!one.bored) {
      says.push(`Socket ${k + 1} bored as deep as drawn would leave ` +
        `${fine(Math.max(one.cover, 0))} over it.`);
    } else if (touches) {
      says.push(one.cover <= 0 ? `Socket ${k + 1} comes through the upper face.`
        : `Only ${fine(one.cover)} is left over socket ${k + 1}.`);
    }
    return says;
  });
  const answered = ({ all, floor, arm, sawn }, thinner) => {
    const drops = all.map((one) => one.drop);
    const low = drops.indexOf(Math.min(...drops)) + 1;
    const { found, gap, other } = floor;
    const rim = found[legs.rim];
    const over = rim > 0.05 * MM ? `low over leg ${low}` : "";
    fill("height", long(found[legs.height]));
    all.forEach((one, k) => {
      const off = one.off > 0.5 * MM ? `; ${fine(one.off)} out of place` : "";
      fill(`foot-${k + 1}`, long(one.drop), `below the underside, square to it${off}`);
      fill(`tenon-${k + 1}`, one.fits ? fine(Math.abs(one.play)) : "",
        one.play < 0 ? "too thick for its socket" : "clearance in its socket");
      fill(`cover-${k + 1}`, one.bored || thinner ? long(one.cover) : "");
    });
    fill("rim", fine(rim), over);
    if (other !== null) {
      fill("rock", gap > 0.1 * MM ? fine(gap) : "", `foot ${other + 1} to the floor`);
    }
    fill("arm", long(arm));
    const says = [found[legs.used] <= legs.slope
      ? `Level within what is visible: ${fine(rim)} across the rim.`
      : `Not level: ${fine(rim)} across the rim, ${over}.`];
    if (!sawn) says[0] = `With its feet cut level it is ${long(found[legs.height])} high.`;
    if (gap > legs.rocks) {
      says.push(`Foot ${other + 1} is ${fine(gap)} off the floor, so it rocks.`);
    }
    says.push(...ofTheSockets(all));
    all.forEach((one, k) => {
      if (one.off > legs.astray) says.push(`Foot ${k + 1} stands ${plainly(one.off)} out of place.`);
    });
    return says.join(" ");
  };
  return (sizes) => {
    const [top, measured] = [{}, Object.fromEntries(legs.tables.map((table) => [table, {}]))];
    for (const [field, found] of sizes) {
      if (field.table in measured) measured[field.table][field.key] = found.size;
      else for (const name of field.names) top[name] = found.size;
    }
    const found = stand(measured, top);
    const numbers = found.all.flatMap((one) => [one.drop, one.off, one.cover, one.play]);
    const stands = found.floor && found.arm > 0 && numbers.every(Number.isFinite)
      && found.all.every((one) => one.drop > MM);
    return stands ? [answered(found, legs.thickness in top), true]
      : ["The legs cannot be worked through with these sizes; measure again.", false];
  };
};
