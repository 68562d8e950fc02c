'use strict';

/** The marks of findings on the drawing: those of the groups that are listed, or all. */
class Marks {
  /** @param {?SVGElement} drawing of the layer, where there is one */
  constructor(drawing) {
    this.marks = drawing ? [...drawing.querySelectorAll('[data-of]')] : [];
    this.openings = drawing ? [...drawing.querySelectorAll('[data-levels]')] : [];
    this.isFiltered = false;
  }

  /**
   * Shows what was found in some groups; a place where one is left has the sign of the worst that is.
   *
   * @param {?Set<number>} wanted numbers of groups, or null for all, and what is in none
   */
  show(wanted) {
    if (!wanted && !this.isFiltered) return;
    this.isFiltered = Boolean(wanted);
    const isShown = (numbers = '') => numbers !== ''
      && (!wanted || numbers.split(',').some((number) => wanted.has(Number(number))));
    for (const mark of this.marks) {
      mark.toggleAttribute('data-off', !isShown(mark.dataset.of) || isShown(mark.dataset.unless));
    }
    for (const opening of this.openings) {
      const levels = opening.dataset.levels.split(' ').map((one) => one.split(':'));
      const [level] = levels.find(([, numbers]) => isShown(numbers)) || [''];
      opening.setAttribute('class', `outlines ${level}`.trim());
    }
  }

  /** In how many places there are marks. */
  get places() {
    let count = 0;
    for (const mark of this.marks) {
      if (!mark.hasAttribute('data-off') && mark.classList.contains('halo')) {
        count += mark.getAttribute('d').match(/m/gi).length;
      }
    }
    return count;
  }
}
