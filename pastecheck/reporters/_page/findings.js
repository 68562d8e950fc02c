'use strict';

/** The findings of one layer: filtered by component, check and level, and flown to. */
class Findings {
  /**
   * @param {HTMLElement} section with the groups
   * @param {?Film} film that is flown over, where there is one
   * @param {Marks} marks on it
   * @param {?object} numbers of the layer
   */
  constructor(section, film, marks, numbers) {
    this.section = section;
    this.film = film;
    this.marks = marks;
    this.places = marks.places;
    this.numbers = numbers;
    this.groups = [...section.querySelectorAll('.group')];
    this.filters = section.querySelector('.filters');
    this.at = -1;
    this.ofOpening = this.byOpening();
    if (this.filters) {
      for (const name of ['input', 'change']) this.filters.addEventListener(name, () => this.filter());
      this.filter();
    }
    section.addEventListener('click', (event) => this.click(event));
  }

  /** The texts of findings by row of the opening, from 0. */
  byOpening() {
    const found = new Map();
    const tell = (place, level, text) => {
      for (const opening of place.split(' ').slice(2)) {
        const row = Number(opening) - 1;
        if (!found.has(row)) found.set(row, new Map());
        found.get(row).set(text, level);
      }
    };
    for (const group of this.section.querySelectorAll('.group, .dealt')) {
      const links = group.querySelectorAll('a[data-at]');
      if (!links.length) {
        for (const item of group.querySelectorAll('.failed li')) {
          tell(group.dataset.at, group.dataset.level ?? group.querySelector('.level').textContent, item.textContent);
        }
      }
      for (const link of links) {
        const cells = link.closest('tr').cells;
        tell(link.dataset.at, cells[0].textContent.trim(), cells[1].textContent.trim());
      }
    }
    return found;
  }

  wanted() {
    return {
      component: (this.filters.querySelector('.component')?.value ?? '').trim().toLowerCase(),
      check: this.filters.querySelector('.check').value,
      levels: [...this.filters.querySelectorAll('input:checked')].map((box) => box.value),
    };
  }

  filter() {
    const { component, check, levels } = this.wanted();
    const shown = new Set();
    this.groups.forEach((group, nth) => {
      const names = group.dataset.components.toLowerCase().split(', ');
      const fits = levels.includes(group.dataset.level)
        && (!check || group.dataset.checks.split(' ').includes(check))
        && (!component || names.some((name) => name.startsWith(component)));
      group.hidden = !fits;
      if (fits) shown.add(nth + 1);
    });
    this.marks.show(shown.size < this.groups.length ? shown : null);
    this.at = -1;
    const openings = component ? this.search(component) : 0;
    const every = this.groups.length;
    const said = [`${shown.size} of ${every} ${every === 1 ? 'group' : 'groups'} shown`];
    if (shown.size < every && this.places) said.push(`${this.marks.places} of ${this.places} marks in the drawing`);
    if (component) said.push(`${counted(openings, 'opening')} of components that begin so`);
    this.filters.querySelector('.shown').textContent = said.join('; ');
    if (!component && this.film) this.film.frameOpenings('hits', []);
  }

  /** Frames the openings of a component in the drawing and flies there; how many there are. */
  search(component) {
    if (!this.film) return 0;
    const { labels, openings } = this.numbers;
    const names = labels.map((label) => label.toLowerCase());
    const exact = names.includes(component);
    const wanted = names.map((name) => (exact ? name === component : name.startsWith(component)));
    const rows = [];
    openings.label.forEach((label, row) => wanted[label] && rows.push(row));
    this.film.frameOpenings('hits', rows, 0.12);
    if (rows.length) {
      const boxes = rows.map((row) => this.film.places.bounds(row));
      const least = (nth) => boxes.reduce((low, box) => Math.min(low, box[nth]), Infinity);
      const most = (nth) => boxes.reduce((high, box) => Math.max(high, box[nth]), -Infinity);
      this.film.flyTo(least(0), least(1), most(2), most(3));
    }
    return rows.length;
  }

  click(event) {
    const link = event.target.closest('a[data-at], a.fly');
    if (!link || !this.film) return;
    event.preventDefault();
    if (link.dataset.at) this.flyToFinding(link.dataset.at);
    else this.flyToGroup(link.closest('.group, .dealt'));
    this.film.comeIntoSight();
  }

  flyToGroup(group) {
    const [lowX, lowY, highX, highY] = group.dataset.within.split(' ').map(Number);
    this.point(group.dataset.at);
    this.film.flyTo(lowX - 0.3, lowY - 0.3, highX + 0.3, highY + 0.3);
    this.section.querySelectorAll('.group, .dealt').forEach((one) => one.classList.toggle('flown-to', one === group));
  }

  flyToFinding(at) {
    const [x, y] = at.split(' ').map(Number);
    this.point(at);
    this.film.flyTo(x - 0.8, y - 0.8, x + 0.8, y + 0.8);
  }

  point(at) {
    const [x, y, opening] = at.split(' ').map(Number);
    this.film.spot(x, y);
    this.film.pin(opening ? opening - 1 : -1);
  }

  /** Goes to the next group that is shown, or the one before. */
  step(by) {
    const shown = this.groups.filter((group) => !group.hidden);
    if (!shown.length || !this.film) return;
    this.at = this.at < 0 && by < 0 ? shown.length - 1 : (this.at + by + shown.length) % shown.length;
    this.flyToGroup(shown[this.at]);
    if (window.innerWidth >= 900) {
      shown[this.at].scrollIntoView({ block: 'nearest' });
    }
  }

  /** The size that an opening had before it was changed, where it was. */
  asDrawn(row) {
    const { changed } = this.numbers;
    return changed && changed.size[row] ? [['as drawn', changed.sizes[changed.size[row]]]] : [];
  }

  /** What is told of an opening: its name, its measures and its findings, for the panel. */
  measures(row) {
    const { openings, outlines, labels, thickness_um: thickness } = this.numbers;
    const outline = openings.outline[row];
    const [width, length] = [outlines.width[outline], outlines.length[outline]];
    const over = outlines.area[outline] / outlines.perimeter[outline];
    const label = labels[openings.label[row]];
    const web = openings.web[row];
    const size = outlines.round[outline] ? `${mm(width)} mm round` : `${mm(width)} x ${mm(length)} mm`;
    return {
      title: `Opening ${row + 1}${label ? ` of ${label}` : ''}`,
      lines: [
        ['size', size],
        ...this.asDrawn(row),
        ['at', `(${(openings.x[row] / 1e4).toFixed(2)}, ${(openings.y[row] / 1e4).toFixed(2)}) mm`],
        ['area ratio', (over * 1000 / thickness).toFixed(2)],
        ['aspect ratio', (width * 1000 / thickness).toFixed(2)],
        ['area', `${outlines.area[outline].toFixed(4)} mm2`],
        ['nearest web', web === null ? 'farther than is looked' : `${mm(web)} mm`],
        ['line of the file', String(openings.line[row])],
      ],
      found: [...(this.ofOpening.get(row) || [])],
    };
  }
}

/** A length to the micrometre, less its last digit where that is 0. */
function mm(length) {
  return length.toFixed(3).replace(/0$/, '');
}
