'use strict';

/** What the drawing of one layer shows: which part is seen, which opening lies where, what is marked. */
class Film {
  /**
   * @param {HTMLElement} section with the drawing and its tools
   * @param {object} numbers of the layer, as the page carries them
   */
  constructor(section, numbers) {
    this.section = section;
    this.numbers = numbers;
    this.view = section.querySelector('.view');
    this.svg = this.view.querySelector('svg.drawing');
    this.all = boxOf(this.svg.getAttribute('viewBox').split(/\s+/).map(Number));
    this.seen = this.asked = this.all;
    this.ways = new Map();
    this.frame = 0;
    this.pinned = -1;
    this.onPoint = () => {};
    this.onPin = () => {};
    this.onShow = () => {};
    this.places = new Places(numbers);
    this.turn = this.svg.dataset.mirrored ? -1 : 1;
    this.over = this.marks();
    this.svg.setAttribute('preserveAspectRatio', 'xMidYMid meet');
    this.view.style.aspectRatio = `${this.all.w} / ${this.all.h}`;
    this.fit();
    this.listen();
    new ResizeObserver(() => this.show(this.asked)).observe(this.view);
  }

  /** Groups that lie over the drawing, in the order they are drawn. */
  marks() {
    const over = {};
    const group = element('g', { class: 'over', 'aria-hidden': 'true', transform: `scale(${this.turn} 1)` });
    for (const name of ['of-group', 'may-warn', 'may-fail', 'hits', 'pointed', 'pinned', 'spot']) {
      over[name] = element('path', { class: name, d: '' });
      group.append(over[name]);
    }
    this.svg.append(group);
    return over;
  }

  /** Shows a part of the drawing, widened to the proportions of the view, at the next frame. */
  show(box) {
    const { width, height } = this.view.getBoundingClientRect();
    const ratio = (width || 1) / (height || 1);
    this.asked = box;
    const w = Math.max(box.w, box.h * ratio, 0.02);
    const h = w / ratio;
    this.seen = { x: box.x + (box.w - w) / 2, y: box.y + (box.h - h) / 2, w, h };
    if (!this.frame) this.frame = requestAnimationFrame(() => this.draw());
  }

  /** While it moves the drawing is shoved as it is, which costs next to nothing; at rest it is drawn anew. */
  draw() {
    this.frame = 0;
    const { x, y, w, h } = this.seen;
    const scale = this.view.clientWidth / w;
    drawScale(this.section.querySelector('.scale'), scale);
    this.onShow();
    if (this.drawn && (this.ways.size || this.isBusy)) {
      const [byX, byY] = [(this.drawn.x - x) * scale, (this.drawn.y - y) * scale];
      const grown = (this.drawn.w / w).toFixed(6);
      this.svg.style.transform = `translate(${byX.toFixed(2)}px, ${byY.toFixed(2)}px) scale(${grown})`;
      return;
    }
    this.svg.style.transform = '';
    this.svg.style.setProperty('--mark', `${Math.min(Math.max(5 + 1.3 * scale, 6), 18).toFixed(1)}px`);
    this.svg.toggleAttribute('data-far', scale < Film.LEGIBLE);
    this.drawn = this.seen;
    this.svg.setAttribute('viewBox', `${x.toFixed(5)} ${y.toFixed(5)} ${w.toFixed(5)} ${h.toFixed(5)}`);
  }

  /** Puts off drawing anew, of what takes long to draw, until the wheel rests or the flight is over. */
  busy(milliseconds) {
    if (this.numbers.openings.x.length < Film.QUICK) return;
    this.isBusy = true;
    clearTimeout(this.rest);
    this.rest = setTimeout(() => {
      this.isBusy = false;
      this.show(this.seen);
    }, milliseconds);
  }

  fit() {
    this.stop();
    this.show(this.all);
  }

  stop() {
    cancelAnimationFrame(this.flight);
  }

  /** Zooms about a place of the drawing that stays where it is. */
  zoom(factor, at = middleOf(this.seen)) {
    const w = Math.min(Math.max(this.seen.w / factor, 0.05), this.all.w * 4 + 4);
    const by = w / this.seen.w;
    const { x, y, h } = this.seen;
    this.show({ x: at.x - (at.x - x) * by, y: at.y - (at.y - y) * by, w, h: h * by });
  }

  move(byX, byY) {
    const { x, y, w, h } = this.seen;
    this.show({ x: x + byX, y: y + byY, w, h });
  }

  /** Flies so that a box in mm of the layer, y upward, fills a good part of the view. */
  flyTo(lowX, lowY, highX, highY) {
    const least = Math.max(highX - lowX, highY - lowY, 1.2) * 0.6;
    const near = {
      x: (this.turn < 0 ? -highX : lowX) - least,
      y: -highY - least,
      w: highX - lowX + 2 * least,
      h: highY - lowY + 2 * least,
    };
    const target = near.w < this.all.w && near.h < this.all.h ? near : this.all;
    this.stop();
    if (matchMedia('(prefers-reduced-motion: reduce)').matches) {
      this.show(target);
      return;
    }
    this.busy(400);
    const from = this.seen;
    const began = performance.now();
    const step = (now) => {
      const share = Math.min((now - began) / 350, 1);
      const eased = share * share * (3 - 2 * share);
      this.show({
        x: from.x + (target.x - from.x) * eased, y: from.y + (target.y - from.y) * eased,
        w: from.w + (target.w - from.w) * eased, h: from.h + (target.h - from.h) * eased,
      });
      if (share < 1) this.flight = requestAnimationFrame(step);
    };
    this.flight = requestAnimationFrame(step);
  }

  /** The place in the drawing, y downward, that an event is at. */
  placeOf(event) {
    const box = this.view.getBoundingClientRect();
    return {
      x: this.seen.x + (event.clientX - box.left) / box.width * this.seen.w,
      y: this.seen.y + (event.clientY - box.top) / box.height * this.seen.h,
    };
  }

  /** The opening at an event, or near it by a few pixels; -1 for none. */
  openingAt(event) {
    const at = this.placeOf(event);
    const near = (event.pointerType === 'touch' ? 14 : 4) * this.seen.w / this.view.clientWidth;
    return this.places.at(this.turn * at.x, -at.y, near);
  }

  /** Whether an opening is seen in the left half of the view. */
  isOnTheLeft(row) {
    return this.turn * this.places.middle(row)[0] < middleOf(this.seen).x;
  }

  /** Frames about openings, on one of the groups over the drawing. */
  frameOpenings(group, rows, beyond = 0.04) {
    this.over[group].setAttribute('d', rows.map((row) => this.places.frame(row, beyond)).join(''));
  }

  /** Marks a place with a cross in a ring of constant size. */
  spot(x, y) {
    this.over.spot.setAttribute('d', `M${x} ${-y}h0`);
  }

  /** Scrolls the page to the drawing, where it is not seen. */
  comeIntoSight() {
    if (this.section.getBoundingClientRect().top < -40 || window.innerWidth < 900) {
      this.section.scrollIntoView({ block: 'nearest' });
    }
  }

  pin(row) {
    this.pinned = row;
    this.frameOpenings('pinned', row < 0 ? [] : [row]);
    this.onPin(row);
  }

  listen() {
    const view = this.view;
    view.tabIndex = 0;
    view.setAttribute('role', 'group');
    view.setAttribute('aria-label', `The ${this.numbers.foil}. Arrow keys move, plus and minus zoom, 0 shows all, `
      + `${this.section.querySelector('[data-do=after]') ? 'n and p go through the findings, ' : ''}`
      + 'full stop and comma go through the openings.');
    view.addEventListener('wheel', (event) => {
      event.preventDefault();
      this.stop();
      this.busy(160);
      this.zoom(Math.exp(-event.deltaY * (event.deltaMode ? 0.05 : 0.0018)), this.placeOf(event));
    }, { passive: false });
    view.addEventListener('touchstart', (event) => this.keep(event), { passive: false });
    document.addEventListener('pointerdown', (event) => this.leave(event));
    view.addEventListener('pointerdown', (event) => this.press(event));
    view.addEventListener('pointermove', (event) => this.drag(event));
    for (const name of ['pointerup', 'pointercancel']) {
      view.addEventListener(name, (event) => this.release(event));
    }
    view.addEventListener('pointerleave', () => this.onPoint(-1));
    view.addEventListener('keydown', (event) => this.key(event));
    view.addEventListener('dblclick', (event) => this.zoom(2, this.placeOf(event)));
  }

  /** Two fingers are for the film, whatever one does: else the page would be moved by them. */
  keep(event) {
    if (event.touches.length > 1 && event.cancelable) event.preventDefault();
  }

  /** Takes the film: then one finger moves it, and not the page. */
  take(isTaken) {
    this.view.classList.toggle('taken', isTaken);
    const hint = this.section.querySelector('.touch');
    if (hint) hint.textContent = isTaken ? hint.dataset.taken : hint.dataset.free;
  }

  /** A touch beside the film gives it back. */
  leave(event) {
    if (event.pointerType === 'touch' && !this.section.querySelector('.bench').contains(event.target)) {
      this.take(false);
    }
  }

  press(event) {
    if (event.button) return;
    this.stop();
    this.view.setPointerCapture(event.pointerId);
    this.ways.set(event.pointerId, { x: event.clientX, y: event.clientY, far: 0 });
  }

  drag(event) {
    const way = this.ways.get(event.pointerId);
    if (!way) {
      this.onPoint(this.openingAt(event));
      return;
    }
    const before = [...this.ways.values()].map(({ x, y }) => ({ x, y }));
    way.far += Math.abs(event.clientX - way.x) + Math.abs(event.clientY - way.y);
    way.x = event.clientX;
    way.y = event.clientY;
    const now = [...this.ways.values()];
    if (now.length > 1) this.take(true);
    else if (event.pointerType === 'touch' && !this.view.classList.contains('taken')) return;
    const scale = this.seen.w / this.view.clientWidth;
    if (now.length === 2) {
      const grown = apart(now) / (apart(before) || 1);
      const at = between(now);
      this.zoom(grown, this.placeOf({ clientX: at.x, clientY: at.y }));
    }
    const [to, from] = [between(now), between(before)];
    this.move((from.x - to.x) * scale, (from.y - to.y) * scale);
  }

  release(event) {
    const way = this.ways.get(event.pointerId);
    this.ways.delete(event.pointerId);
    this.show(this.seen);
    const isTouch = event.pointerType === 'touch';
    if (!way || way.far >= (isTouch ? 12 : 6) || event.type !== 'pointerup') return;
    if (isTouch) this.take(true);
    this.pin(this.openingAt(event));
  }

  key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const step = this.seen.w / 8;
    const does = {
      ArrowLeft: () => this.move(-step, 0), ArrowRight: () => this.move(step, 0),
      ArrowUp: () => this.move(0, -step), ArrowDown: () => this.move(0, step),
      '+': () => this.zoom(1.4), '=': () => this.zoom(1.4), '-': () => this.zoom(1 / 1.4),
      0: () => this.fit(), '.': () => this.nextOpening(1), ',': () => this.nextOpening(-1),
      Escape: () => this.pin(-1),
    }[event.key];
    if (!does) return;
    event.preventDefault();
    does();
  }

  /** Pins the opening that follows, or the one in the middle of what is seen. */
  nextOpening(by) {
    const count = this.numbers.openings.x.length;
    const at = middleOf(this.seen);
    const row = this.pinned < 0 ? this.places.nearest(this.turn * at.x, -at.y) : (this.pinned + by + count) % count;
    const [x, y] = this.places.middle(row);
    this.pin(row);
    if (!holds(this.seen, this.turn * x, -y)) this.flyTo(x - 2, y - 2, x + 2, y + 2);
  }
}

/** Fewer openings are drawn anew in every frame. */
Film.QUICK = 3000;
/** Pixels to a millimetre from which figures are more than specks: 0.1 mm high they are 2.4 pixels. */
Film.LEGIBLE = 24;

/** Where openings are: in mm, y upward. */
class Places {
  constructor(numbers) {
    this.openings = numbers.openings;
    this.box = numbers.outlines.box;
    this.cells = new Map();
    this.large = [];
    for (let row = 0; row < this.openings.x.length; row += 1) {
      const [lowX, lowY, highX, highY] = this.bounds(row).map((side) => Math.floor(side / Places.CELL_MM));
      if ((highX - lowX) * (highY - lowY) > Places.MOST_CELLS) {
        this.large.push(row);
        continue;
      }
      for (let x = lowX; x <= highX; x += 1) {
        for (let y = lowY; y <= highY; y += 1) {
          const key = `${x},${y}`;
          if (!this.cells.has(key)) this.cells.set(key, []);
          this.cells.get(key).push(row);
        }
      }
    }
  }

  middle(row) {
    return [this.openings.x[row] / 1e4, this.openings.y[row] / 1e4];
  }

  bounds(row) {
    const [x, y] = this.middle(row);
    const outline = this.openings.outline[row];
    const side = (nth) => this.box[nth][outline] / 1e4;
    return [x + side(0), y + side(1), x + side(2), y + side(3)];
  }

  /** The smallest opening whose box holds a place, or is as near as said; -1 for none. */
  at(x, y, near) {
    const reach = Math.min(near, Places.CELL_MM);
    let found = -1;
    let least = Infinity;
    for (const [stepX, stepY] of [[0, 0], [-1, 0], [1, 0], [0, -1], [0, 1]]) {
      const key = `${Math.floor((x + stepX * reach) / Places.CELL_MM)},`
        + `${Math.floor((y + stepY * reach) / Places.CELL_MM)}`;
      for (const row of [...this.cells.get(key) || [], ...this.large]) {
        const [lowX, lowY, highX, highY] = this.bounds(row);
        const off = Math.max(lowX - x, x - highX, lowY - y, y - highY, 0);
        const rank = off * 1e3 + (highX - lowX) * (highY - lowY);
        if (off <= near && rank < least) [found, least] = [row, rank];
      }
    }
    return found;
  }

  nearest(x, y) {
    let found = -1;
    let least = Infinity;
    for (let row = 0; row < this.openings.x.length; row += 1) {
      const [itsX, itsY] = this.middle(row);
      const far = (itsX - x) ** 2 + (itsY - y) ** 2;
      if (far < least) [found, least] = [row, far];
    }
    return found;
  }

  /** Path data of a frame about an opening, in the drawing's own direction. */
  frame(row, beyond) {
    const [lowX, lowY, highX, highY] = this.bounds(row);
    const across = (highX - lowX + 2 * beyond).toFixed(4);
    const up = (highY - lowY + 2 * beyond).toFixed(4);
    return `M${(lowX - beyond).toFixed(4)} ${(-highY - beyond).toFixed(4)}h${across}v${up}h-${across}z`;
  }
}
Places.CELL_MM = 2;
/** What lies in more cells is looked at wherever one points. */
Places.MOST_CELLS = 1000;

/** A bar of a round length, as long as it is on the screen. */
function drawScale(scale, pixelsPerMm) {
  if (!scale) return;
  const about = 90 / pixelsPerMm;
  const power = 10 ** Math.floor(Math.log10(about));
  const length = [5, 2, 1].map((step) => step * power).find((step) => step <= about);
  scale.querySelector('.bar').style.width = `${(length * pixelsPerMm).toFixed(1)}px`;
  scale.querySelector('.length').textContent = length < 0.1
    ? `${Math.round(length * 1000)} um` : `${+length.toFixed(3)} mm`;
}

function element(name, attributes = {}, text = '') {
  const made = document.createElementNS('http://www.w3.org/2000/svg', name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  if (text) made.textContent = text;
  return made;
}

const boxOf = ([x, y, w, h]) => ({ x, y, w, h });
const middleOf = ({ x, y, w, h }) => ({ x: x + w / 2, y: y + h / 2 });
const holds = (box, x, y) => x >= box.x && x <= box.x + box.w && y >= box.y && y <= box.y + box.h;
const between = (points) => ({
  x: points.reduce((sum, one) => sum + one.x, 0) / points.length,
  y: points.reduce((sum, one) => sum + one.y, 0) / points.length,
});
const apart = ([one, other]) => Math.hypot(one.x - other.x, one.y - other.y);
