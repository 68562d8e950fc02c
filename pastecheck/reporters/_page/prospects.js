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
        area: outlines.areas[table][step],
        over: outlines.overs[table][step],
        width: outlines.widths[table][step],
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
      const ratioOff = ratio * outlines.share_off[row];
      const off = outlines.area_off[row] * share + area * efficiency.steepest * ratioOff;
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
    const narrower = 2 * insets[step] / 1000;
    leads.opening.forEach((row, nth) => {
      if (step && leads.gap[nth] + narrower > leads.gaps_below - ROUNDING) return;
      const fraction = leads.fraction[nth] - narrower / leads.pitch[nth];
      tell('pitch-fraction', fraction, leads.off[nth], row);
    });
    heights.opening.forEach((row, nth) => {
      const outline = openings.outline[row];
      const share = this.outline(outline, step).area / this.outline(outline, 0).area;
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
