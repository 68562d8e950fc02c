'use strict';

/** What was changed in a layer: flown to group by group, and shown as it was, as it is, or both. */
class Changes {
  /**
   * @param {HTMLElement} article of the layer
   * @param {?Film} film that is flown over, where there is one
   * @param {?object} numbers of the layer
   */
  constructor(article, film, numbers) {
    this.film = film;
    this.numbers = numbers;
    this.drawing = article.querySelector('svg.drawing');
    this.groups = [...article.querySelectorAll('.change')];
    const states = article.querySelector('.states');
    if (states) states.addEventListener('change', (event) => this.show(event.target.value));
    if (film) article.querySelector('.changes').addEventListener('click', (event) => this.click(event));
  }

  show(state) {
    this.drawing.dataset.shows = state;
  }

  click(event) {
    const link = event.target.closest('a.fly');
    if (!link) return;
    event.preventDefault();
    this.flyTo(link.closest('.change'));
    this.film.comeIntoSight();
  }

  flyTo(group) {
    const [lowX, lowY, highX, highY] = group.dataset.within.split(' ').map(Number);
    const rows = [];
    this.numbers.changed.group.forEach((number, row) => {
      if (number === Number(group.dataset.number)) rows.push(row);
    });
    this.film.frameOpenings('of-group', rows, 0.15);
    this.film.pin(Number(group.dataset.at.split(' ')[2]) - 1);
    this.film.flyTo(lowX - 0.3, lowY - 0.3, highX + 0.3, highY + 0.3);
    for (const one of this.groups) one.classList.toggle('flown-to', one === group);
  }
}
