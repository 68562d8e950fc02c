'use strict';

/** Where a curve is drawn, in units of its picture. */
const CURVE = { width: 420, height: 190, left: 40, right: 400, top: 12, bottom: 156 };

/**
 * A curve of how many openings fail at each value, and where the slider stands.
 *
 * @param {HTMLElement} place that gets the picture
 * @param {number[]} values that the slider has, in um
 * @param {{errors: number, warnings: number}[]} found at each of them
 * @param {number} at which of them the slider stands
 * @param {function(number)} choose another, by a click
 */
function drawCurve(place, values, found, at, choose) {
  const [first, last] = [values[0], values[values.length - 1]];
  const every = found.map(({ errors, warnings }) => errors + warnings);
  const errors = found.map((one) => one.errors);
  const most = Math.max(4, ...every);
  const x = (value) => CURVE.left + (CURVE.right - CURVE.left) * (value - first) / (last - first);
  const y = (count) => CURVE.bottom - (CURVE.bottom - CURVE.top) * count / most;
  const line = (counts) => counts
    .map((count, nth) => `${nth ? 'L' : 'M'}${x(values[nth]).toFixed(1)} ${y(count).toFixed(1)}`).join('');
  const area = (counts) => `${line(counts)}V${CURVE.bottom}H${CURVE.left}z`;
  const svg = element('svg', { class: 'chart', viewBox: `0 0 ${CURVE.width} ${CURVE.height}`, role: 'img' });
  svg.setAttribute('aria-label', `At ${values[at]} um: ${counted(errors[at], 'opening')} with errors, `
    + `${found[at].warnings} with warnings; from ${every[0]} failing at ${first} um to `
    + `${every[every.length - 1]} at ${last} um.`);
  svg.append(
    ...axes(values, most, x, y),
    element('path', { class: 'all', d: area(every) }),
    element('path', { class: 'errors', d: area(errors) }),
    element('path', { class: 'line warning', d: line(every) }),
    element('path', { class: 'line error', d: line(errors) }),
    ...standing(x(values[at]), y(every[at]), every[at]),
  );
  svg.addEventListener('click', (event) => {
    const box = svg.getBoundingClientRect();
    const to = (event.clientX - box.left) / box.width * CURVE.width;
    const far = values.map((value) => Math.abs(x(value) - to));
    choose(far.indexOf(Math.min(...far)));
  });
  place.replaceChildren(svg);
}

/** Lines and numbers of both axes. */
function axes(values, most, x, y) {
  const drawn = [];
  for (const tick of ticks(most)) {
    drawn.push(element('path', { class: 'grid', d: `M${CURVE.left} ${y(tick)}H${CURVE.right}` }));
    drawn.push(element('text', { x: CURVE.left - 6, y: y(tick) + 4, 'text-anchor': 'end' }, String(tick)));
  }
  for (const value of ticks(values[values.length - 1]).filter((one) => one >= values[0])) {
    const told = { x: x(value), y: CURVE.bottom + 16, 'text-anchor': 'middle' };
    drawn.push(element('text', told, String(value)));
  }
  const below = { class: 'name', x: (CURVE.left + CURVE.right) / 2, y: CURVE.height - 4, 'text-anchor': 'middle' };
  drawn.push(element('text', below, 'um'));
  return drawn;
}

/** Where the slider stands. */
function standing(x, y, count) {
  return [
    element('path', { class: 'now', d: `M${x} ${CURVE.top}V${CURVE.bottom}` }),
    element('circle', { class: 'now', cx: x, cy: y, r: 4 }),
    element('text', { class: 'now', x: Math.min(x + 7, CURVE.width - 30), y: CURVE.top + 9 }, String(count)),
  ];
}

/** A few round numbers up to some count. */
function ticks(most) {
  const power = 10 ** Math.floor(Math.log10(most));
  const step = [power / 5, power / 2, power, 2 * power].map((one) => Math.max(Math.round(one), 1))
    .find((one) => most / one <= 5) || power;
  return Array.from({ length: Math.floor(most / step) + 1 }, (_, nth) => nth * step);
}

const counted = (count, what) => `${count} ${what}${count === 1 ? '' : 's'}`;
