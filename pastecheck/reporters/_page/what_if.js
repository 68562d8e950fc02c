'use strict';

/** More than the rounding of the numbers on the page, less than any length that somebody sets a limit by. */
const ROUNDING = 5e-9;
/** Openings rounder than this want more powder balls across. */
const ROUND = 0.97;

/** The layer in another foil, with all its openings made smaller by the same. */
class Prospects {
  /** @param {object} numbers of the layer */
  constructor(numbers) {
    this.numbers = numbers;
    this.worst = new Uint8Array(numbers.openings.outline.length);
    this.known = new Map();
  }

  /** What is left of an outline with a step's worth taken off all around. */
  outline(row, step) {
    const { outlines, insets_um: insets } = this.numbers;
    const table = outlines.table[row];
    if (table >= 0) {
      return {
        area: outlines.areas[table][step], over: outlines.overs[table][step], width: outlines.widths[table][step],
      };
    }
    const off = insets[step] / 1000;
    const radius = outlines.radius[row];
    const left = Math.max(radius - off, 0);
    const cut = 2 * Math.max(off - radius, 0);
    const [a, b] = [outlines.core[0][row] - cut, outlines.core[1][row] - cut];
    if (Math.min(a, b) + 2 * left < 1e-9 || a < 0 || b < 0) return { area: 0, over: 0, width: 0 };
    const area = a * b + 2 * (a + b) * left + Math.PI * left * left;
    return { area, over: area / (2 * (a + b) + 2 * Math.PI * left), width: Math.min(a, b) + 2 * left };
  }

  /** The readings of an outline with their error bounds, by check. */
  readings(row, thickness, step) {
    const { outlines, insets_um: insets, balls, efficiency, slack_mm: slack } = this.numbers;
    const { area, over, width } = this.outline(row, step);
    const off = 2 * insets[step] / 1000;
    const ratio = over / thickness;
    const found = {
      'area-ratio': [ratio, ratio * outlines.share_off[row]],
      'aspect-ratio': [width / thickness, outlines.width_off[row] / thickness],
      'opening-width': [width, outlines.width_off[row] + slack],
    };
    if (outlines.neck[row] !== null) {
      found['neck-width'] = [outlines.neck[row] - off, outlines.neck_off[row] + slack];
    }
    if (balls) {
      const isRound = area > 0 && 4 * Math.PI * over * over / area > ROUND;
      const wanted = balls.ball_mm * (isRound ? balls.balls_round : balls.balls);
      const across = Math.max(Math.min(width, outlines.across[row] - off), 0);
      found['powder-fit'] = [across / wanted, outlines.across_off[row] / wanted];
    }
    if (efficiency) {
      const share = interpolated(efficiency.ratios, efficiency.shares, ratio);
      const off = outlines.area_off[row] * share + area * efficiency.steepest * ratio * outlines.share_off[row];
      found['deposit-volume'] = [area * thickness * share, thickness * off];
    }
    return found;
  }

  /**
   * What fails in a foil of some thickness (mm), with a step's worth taken off.
   *
   * @returns {{checks: Object<string, number[]>, errors: number, warnings: number}} findings by check, as
   *   errors and warnings; and openings by the worst that was found of each
   */
  judged(thickness, step) {
    const key = `${thickness} ${step}`;
    if (!this.known.has(key)) this.known.set(key, this.judgedAnew(thickness, step));
    return this.known.get(key);
  }

  judgedAnew(thickness, step) {
    const { limits, openings } = this.numbers;
    const checks = Object.fromEntries(Object.keys(limits).map((check) => [check, [0, 0]]));
    const levels = this.numbers.outlines.radius.map((_, row) => this.levels(row, thickness, step));
    const worst = this.worst;
    openings.outline.forEach((outline, row) => {
      worst[row] = levels[outline].worst;
      for (const [check, level] of levels[outline].past) checks[check][2 - level] += 1;
    });
    const tell = (check, value, slack, ...rows) => {
      const level = limits[check] ? levelOf(limits[check], value, slack) : 0;
      if (level) checks[check][2 - level] += 1;
      for (const row of rows) worst[row] = Math.max(worst[row], level);
    };
    this.tellPairs(tell, step);
    this.tellOfEach(tell, thickness, step);
    const counts = [0, 0, 0];
    for (const level of worst) counts[level] += 1;
    return { checks, errors: counts[2], warnings: counts[1] };
  }

  /** What an outline by itself is past, and the worst of that. */
  levels(row, thickness, step) {
    const past = [];
    for (const [check, [value, slack]] of Object.entries(this.readings(row, thickness, step))) {
      const limits = this.numbers.limits[check];
      const level = limits ? levelOf(limits, value, slack) : 0;
      if (level) past.push([check, level]);
    }
    return { past, worst: past.reduce((most, [, level]) => Math.max(most, level), 0) };
  }

  tellPairs(tell, step) {
    const { webs, insets_um: insets, slack_mm: slack } = this.numbers;
    webs.first.forEach((first, nth) => {
      const table = webs.table[nth];
      const gap = table < 0 ? webs.gap[nth] + 2 * insets[step] / 1000 : webs.grown[table][step];
      if (gap !== null) tell('web-width', gap, webs.off[nth] + slack, first, webs.second[nth]);
    });
  }

  tellOfEach(tell, thickness, step) {
    const { leads, heights, insets_um: insets, openings } = this.numbers;
    leads.opening.forEach((row, nth) => {
      const fraction = leads.fraction[nth] - 2 * insets[step] / 1000 / leads.pitch[nth];
      tell('pitch-fraction', fraction, leads.off[nth], row);
    });
    heights.opening.forEach((row, nth) => {
      const share = this.outline(openings.outline[row], step).area / this.outline(openings.outline[row], 0).area;
      tell('deposit-height', heights.coverage[nth] * thickness * share, heights.off[nth] * thickness, row);
    });
  }

  /** Rows of the openings that fail at a level: 2 for errors, 1 for warnings. */
  rows(thickness, step, level) {
    this.judgedAnew(thickness, step);
    const rows = [];
    this.worst.forEach((its, row) => its === level && rows.push(row));
    return rows;
  }
}

/** 2 past a limit of errors, 1 past one of warnings, else 0. */
function levelOf(limits, value, slack) {
  const past = (name) => {
    const limit = limits[name];
    if (limit === undefined) return false;
    const room = slack + ROUNDING;
    return name.endsWith('below') ? value < limit - room : value > limit + room;
  };
  if (past('error_below') || past('error_above')) return 2;
  return past('warn_below') || past('warn_above') ? 1 : 0;
}

/** What is told of some places, in ascending order, at another: linear between them, beyond them constant. */
function interpolated(places, told, at) {
  const after = places.findIndex((place) => place > at);
  if (after <= 0) return after ? told[told.length - 1] : told[0];
  const share = (at - places[after - 1]) / (places[after] - places[after - 1]);
  return told[after - 1] + share * (told[after] - told[after - 1]);
}

/** Thicknesses to choose from, in um: multiples of 5, and the layer's own. */
function thicknesses(own) {
  const most = Math.max(250, Math.ceil(own * 2 / 5) * 5);
  const every = [own];
  for (let um = 20; um <= most; um += 5) every.push(um);
  return [...new Set(every)].sort((a, b) => a - b);
}

/** The part of the page with the sliders. */
class WhatIf {
  constructor(section, film, numbers) {
    this.section = section;
    this.film = film;
    this.prospects = new Prospects(numbers);
    this.numbers = numbers;
    this.foils = thicknesses(numbers.thickness_um);
    this.own = this.foils.indexOf(numbers.thickness_um);
    this.sliders = { thickness: this.slider('thickness', this.foils), inset: this.slider('inset', numbers.insets_um) };
    section.querySelector('.reset').addEventListener('click', () => this.set(this.own, 0));
    this.set(this.own, 0);
  }

  slider(name, values) {
    const slider = this.section.querySelector(`input.${name}`);
    slider.max = String(values.length - 1);
    slider.addEventListener('input', () => this.tell());
    return slider;
  }

  set(thickness, inset) {
    this.sliders.thickness.value = String(thickness);
    this.sliders.inset.value = String(inset);
    this.tell();
  }

  tell() {
    const [at, step] = [Number(this.sliders.thickness.value), Number(this.sliders.inset.value)];
    const [um, off] = [this.foils[at], this.numbers.insets_um[step]];
    this.name('thickness', `${um} um`);
    this.name('inset', off ? `${off} um` : 'nothing');
    const found = this.prospects.judged(um / 1000, step);
    const isOwn = at === this.own && !step;
    this.section.querySelector('.result').textContent = this.result(um, off, found, isOwn);
    this.tellChecks(found.checks);
    const byFoil = this.foils.map((each) => this.prospects.judged(each / 1000, step));
    const byInset = this.numbers.insets_um.map((_, each) => this.prospects.judged(um / 1000, each));
    this.section.querySelector('.advice').textContent = this.advice(byFoil, off);
    const set = { thickness: (nth) => this.set(nth, step), inset: (nth) => this.set(at, nth) };
    drawCurve(this.section.querySelector('.curve.thickness'), this.foils, byFoil, at, set.thickness);
    drawCurve(this.section.querySelector('.curve.inset'), this.numbers.insets_um, byInset, step, set.inset);
    if (!this.film) return;
    this.film.frameOpenings('may-fail', isOwn ? [] : this.prospects.rows(um / 1000, step, 2));
    this.film.frameOpenings('may-warn', isOwn ? [] : this.prospects.rows(um / 1000, step, 1));
  }

  name(which, text) {
    this.section.querySelector(`output.${which}`).textContent = text;
    this.sliders[which].setAttribute('aria-valuetext', text);
  }

  result(um, off, { errors, warnings }, isOwn) {
    const how = `In film of ${um} um${off ? `, ${off} um taken off all around` : ''}`;
    const all = this.numbers.openings.x.length;
    const told = errors + warnings
      ? `${how}, ${errors + warnings} of ${all} openings fail: ${errors} with errors, ${warnings} with warnings.`
      : `${how}, none of ${all} openings fails these checks.`;
    return isOwn ? `${told} That is the layer as it is.` : told;
  }

  /** The thickest film that does, or does no worse than any, as far as these checks go. */
  advice(byFoil, off) {
    const drawn = off ? `With ${off} um taken off all around` : 'With the openings as drawn';
    const least = Math.min(...byFoil.map((one) => one.errors));
    const thickest = this.foils[byFoil.findLastIndex((one) => one.errors === least)];
    const clean = this.foils[byFoil.findLastIndex((one) => !one.errors && !one.warnings)];
    if (least) {
      return `${drawn}, ${counted(least, 'opening')} would have errors in any film; no more than that up to `
        + `${thickest} um.`;
    }
    const also = clean === undefined ? 'warnings stay in any' : `nothing at all is found up to ${clean} um`;
    return `${drawn}, there are no errors in film of up to ${thickest} um; ${also}.`;
  }

  tellChecks(checks) {
    const drawn = this.prospects.judged(this.numbers.thickness_um / 1000, 0).checks;
    const body = this.section.querySelector('.by-check tbody');
    body.replaceChildren(...Object.entries(checks).map(([check, [errors, warnings]]) => {
      const row = document.createElement('tr');
      const head = document.createElement('th');
      head.scope = 'row';
      head.textContent = check;
      row.dataset.check = check;
      row.append(head);
      const [oldErrors, oldWarnings] = drawn[check];
      for (const text of [errors, warnings, `${oldErrors} / ${oldWarnings}`]) {
        row.insertCell().textContent = String(text);
      }
      row.classList.toggle('changed', errors !== oldErrors || warnings !== oldWarnings);
      return row;
    }));
  }
}

const counted = (count, what) => `${count} ${what}${count === 1 ? '' : 's'}`;

/** A curve of how many openings fail at each value, and where the slider stands. */
function drawCurve(place, values, found, at, choose) {
  const [width, height, left, right, top, bottom] = [420, 190, 40, 12, 12, 34];
  const most = Math.max(4, ...found.map(({ errors, warnings }) => errors + warnings));
  const x = (nth) => left + (width - left - right) * (values[nth] - values[0]) / (values[values.length - 1] - values[0]);
  const y = (count) => height - bottom - (height - top - bottom) * count / most;
  const line = (count) => found.map((one, nth) => `${nth ? 'L' : 'M'}${x(nth).toFixed(1)} ${y(count(one)).toFixed(1)}`).join('');
  const area = (count) => `${line(count)}V${y(0)}H${left}z`;
  const every = (one) => one.errors + one.warnings;
  const svg = element('svg', { class: 'chart', viewBox: `0 0 ${width} ${height}`, role: 'img' });
  const { errors, warnings } = found[at];
  svg.setAttribute('aria-label', `At ${values[at]} um: ${counted(errors, 'opening')} with errors, ${warnings} with warnings; `
    + `from ${every(found[0])} failing at ${values[0]} um to ${every(found[found.length - 1])} at ${values[values.length - 1]} um.`);
  for (const tick of ticks(most)) {
    svg.append(element('path', { class: 'grid', d: `M${left} ${y(tick)}H${width - right}` }));
    svg.append(element('text', { x: left - 6, y: y(tick) + 4, 'text-anchor': 'end' }, String(tick)));
  }
  values.forEach((value, nth) => {
    if (value % (values[values.length - 1] > 150 ? 50 : 25) === 0) {
      svg.append(element('text', { x: x(nth), y: height - bottom + 16, 'text-anchor': 'middle' }, String(value)));
    }
  });
  svg.append(element('text', { class: 'name', x: (left + width - right) / 2, y: height - 4, 'text-anchor': 'middle' }, 'um'));
  svg.append(element('path', { class: 'all', d: area(every) }), element('path', { class: 'errors', d: area((one) => one.errors) }));
  svg.append(element('path', { class: 'line warning', d: line(every) }), element('path', { class: 'line error', d: line((one) => one.errors) }));
  svg.append(element('path', { class: 'now', d: `M${x(at)} ${top}V${height - bottom}` }));
  svg.append(element('circle', { class: 'now', cx: x(at), cy: y(every(found[at])), r: 4 }));
  svg.append(element('text', { class: 'now', x: Math.min(x(at) + 7, width - 30), y: top + 9 }, String(every(found[at]))));
  svg.addEventListener('click', (event) => {
    const box = svg.getBoundingClientRect();
    const to = (event.clientX - box.left) / box.width * width;
    const nearest = values.map((_, nth) => Math.abs(x(nth) - to));
    choose(nearest.indexOf(Math.min(...nearest)));
  });
  place.replaceChildren(svg);
}

/** A few round numbers up to some count. */
function ticks(most) {
  const power = 10 ** Math.floor(Math.log10(most));
  const step = [power / 5, power / 2, power, 2 * power].map((one) => Math.max(Math.round(one), 1))
    .find((one) => most / one <= 5) || power;
  return Array.from({ length: Math.floor(most / step) + 1 }, (_, nth) => nth * step);
}
