'use strict';

/** Thicknesses to choose from, in um: the layer's own, and multiples of 5, or of more in very thick foil. */
function thicknesses(own) {
  const most = Math.max(250, Math.ceil(own * 2 / 5) * 5);
  const step = 5 * Math.ceil(most / 500);
  const every = [own];
  for (let um = Math.max(20, step); um <= most; um += step) every.push(um);
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
    this.sliders = {
      thickness: this.slider('thickness', this.foils),
      inset: this.slider('inset', numbers.insets_um),
    };
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
    this.section.querySelector('.see').hidden = isOwn || !this.film;
    this.section.querySelector('.result').textContent = this.result(um, off, found, isOwn);
    this.tellChecks(found.checks);
    const byFoil = this.foils.map((each) => this.prospects.judged(each / 1000, step));
    const byInset = this.numbers.insets_um.map((_, each) => this.prospects.judged(um / 1000, each));
    this.section.querySelector('.advice').textContent = this.advice(byFoil, off);
    const set = { thickness: (nth) => this.set(nth, step), inset: (nth) => this.set(at, nth) };
    drawCurve(this.section.querySelector('.curve.thickness'), this.foils, byFoil, at, set.thickness);
    drawCurve(this.section.querySelector('.curve.inset'), this.numbers.insets_um, byInset, step, set.inset);
    this.tellCurve('thickness', this.foils, byFoil, at);
    this.tellCurve('inset', this.numbers.insets_um, byInset, step);
    if (!this.film) return;
    this.film.frameOpenings('may-fail', isOwn ? [] : this.prospects.rows(um / 1000, step, 2));
    this.film.frameOpenings('may-warn', isOwn ? [] : this.prospects.rows(um / 1000, step, 1));
  }

  name(which, text) {
    this.section.querySelector(`output.${which}`).textContent = text;
    this.sliders[which].setAttribute('aria-valuetext', text);
  }

  result(um, off, { errors, warnings }, isOwn) {
    const how = `In ${this.numbers.foil} of ${um} um${off ? `, ${off} um taken off all around` : ''}`;
    const all = this.numbers.openings.x.length;
    const openings = counted(all, 'opening');
    const told = errors + warnings
      ? `${how}, ${errors + warnings} of ${openings} ${errors + warnings === 1 ? 'fails' : 'fail'}: `
        + `${errors} with errors, ${warnings} with warnings.`
      : `${how}, none of ${openings} fails these checks.`;
    return isOwn ? `${told} That is the layer as it is.` : told;
  }

  /** The thickest film that does, or does no worse than any, as far as these checks go. */
  advice(byFoil, off) {
    const { foil } = this.numbers;
    const drawn = off ? `With ${off} um taken off all around` : 'With the openings as drawn';
    const least = Math.min(...byFoil.map((one) => one.errors));
    const which = this.films(byFoil, (one) => one.errors === least);
    if (least) {
      return `${drawn}, ${counted(least, 'opening')} would have errors in any ${foil}; no more than that in ${foil} `
        + `${which}.`;
    }
    const clean = this.films(byFoil, (one) => !one.errors && !one.warnings);
    const also = clean ? `these checks find nothing at all in ${foil} ${clean}` : 'warnings stay in any';
    return `${drawn}, there are no errors in ${foil} ${which}; ${also}.`;
  }

  /** Up to which thickness films do, and from which on where thinner ones do not; nothing if none does. */
  films(byFoil, doesWell) {
    const last = byFoil.findLastIndex(doesWell);
    if (last < 0) return '';
    let first = last;
    while (first && doesWell(byFoil[first - 1])) first -= 1;
    if (!first) return `of up to ${this.foils[last]} um`;
    return first < last ? `of ${this.foils[first]} to ${this.foils[last]} um` : `of ${this.foils[last]} um`;
  }

  /** How many openings would fail at each value of a curve, as a table. */
  tellCurve(name, values, judged, at) {
    const rows = values.map((value, nth) => {
      const row = document.createElement('tr');
      const head = document.createElement('th');
      head.scope = 'row';
      head.textContent = String(value);
      row.append(head);
      for (const count of [judged[nth].errors, judged[nth].warnings]) row.insertCell().textContent = String(count);
      row.classList.toggle('changed', nth === at);
      return row;
    });
    this.section.querySelector(`.in-figures .${name} tbody`).replaceChildren(...rows);
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
