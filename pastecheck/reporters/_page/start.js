'use strict';

/** Sets up one layer. */
function startLayer(article) {
  const { number } = article.dataset;
  const carried = document.getElementById(`numbers-${number}`);
  const numbers = carried ? JSON.parse(carried.textContent) : null;
  const filmSection = article.querySelector('section.film');
  const film = numbers && filmSection ? new Film(filmSection, numbers) : null;
  const marks = new Marks(article.querySelector('svg.drawing [id]'));
  const findings = new Findings(article.querySelector('section.findings'), film, marks, numbers);
  const whatIf = article.querySelector('section.what-if.needs-script');
  if (whatIf && numbers) new WhatIf(whatIf, film, numbers);
  if (film) startTools(film, findings);
  if (article.querySelector('.changes')) new Changes(article, film, numbers);
  const print = article.querySelector('.job .print');
  if (print) print.addEventListener('click', () => window.print());
}

/** The buttons beside the drawing, its keys, and the panel with the measures of an opening. */
function startTools(film, findings) {
  const does = {
    in: () => { film.take(true); film.zoom(1.5); }, out: () => film.zoom(1 / 1.5),
    fit: () => { film.take(false); film.fit(); },
    before: () => findings.step(-1), after: () => findings.step(1),
  };
  film.section.querySelector('.tools').addEventListener('click', (event) => {
    const button = event.target.closest('button');
    if (button) does[button.dataset.do]();
  });
  film.view.addEventListener('keydown', (event) => {
    if (event.key === 'n' || event.key === 'p') findings.step(event.key === 'n' ? 1 : -1);
  });
  const panel = film.section.querySelector('.measures');
  let pointed = -1;
  let told = -1;
  // on the side where it does not hide what it tells of
  film.onShow = () => panel.classList.toggle('on-the-right', told >= 0 && film.isOnTheLeft(told));
  const tell = (row) => {
    told = row;
    tellMeasures(panel, findings, row, film);
    film.onShow();
  };
  film.onPoint = (row) => {
    if (row === pointed) return;
    pointed = row;
    film.frameOpenings('pointed', row < 0 ? [] : [row]);
    tell(row < 0 ? film.pinned : row);
  };
  film.onPin = tell;
}

/** Fills the panel; nothing of a file gets there but as text. */
function tellMeasures(panel, findings, row, film) {
  panel.hidden = row < 0;
  if (row < 0) return;
  const { title, lines, found } = findings.measures(row);
  const head = document.createElement('strong');
  head.textContent = title;
  const list = document.createElement('dl');
  for (const [name, value] of lines) {
    const [term, told] = [document.createElement('dt'), document.createElement('dd')];
    term.textContent = name;
    told.textContent = value;
    list.append(term, told);
  }
  panel.replaceChildren(head);
  if (found.length) {
    const wrong = document.createElement('ul');
    for (const [text, level] of found) {
      const item = document.createElement('li');
      item.className = level;
      item.textContent = `${level}: ${text}`;
      wrong.append(item);
    }
    panel.append(wrong);
  }
  panel.append(list);
  if (row === film.pinned) {
    const close = document.createElement('button');
    close.type = 'button';
    close.textContent = 'Close';
    close.addEventListener('click', () => film.pin(-1));
    panel.append(close);
  }
}

/** One layer at a time, where there are several. */
function startLayers(articles, links) {
  const show = (number) => {
    for (const article of articles) article.classList.toggle('away', article.dataset.number !== number);
    for (const link of links) {
      if (link.dataset.layer === number) link.setAttribute('aria-current', 'true');
      else link.removeAttribute('aria-current');
    }
    document.querySelector('a.skip').href = `#findings-${number}`;
  };
  for (const link of links) {
    link.addEventListener('click', (event) => {
      event.preventDefault();
      show(link.dataset.layer);
      history.replaceState(null, '', link.getAttribute('href'));
    });
  }
  const asked = articles.find((article) => `#${article.id}` === location.hash);
  // who has errors has a verdict that is as bad as can be
  const bad = (article) => ['pass', 'care', 'fail'].indexOf(article.dataset.verdict)
    + article.querySelectorAll('.group.error').length;
  const worst = articles.reduce((most, article) => (bad(article) > bad(most) ? article : most));
  show((asked || worst).dataset.number);
}

document.body.className = 'with-script';
const every = [...document.querySelectorAll('article.layer')];
every.forEach(startLayer);
if (every.length > 1) startLayers(every, [...document.querySelectorAll('nav.layers a')]);
