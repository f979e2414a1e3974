// @ts-check
// The list of foods: a field that finds one by name, and groups that fold. What is typed goes nowhere and is not kept.
/** @type {DaybeforeScripts} */
var daybefore = window.daybefore || {};

(function () {
  'use strict';

  const finding = daybefore.finding;
  const dom = daybefore.dom;
  const element = dom.element;

  /** @param {Element} parent @param {string} selector @returns {HTMLElement} */
  function inside(parent, selector) {
    return /** @type {HTMLElement} */ (parent.querySelector(selector));
  }

  /** Folds what a button is for, or shows it; paper shows it all the same. @param {Element} button @param {Element} target @param {boolean} folded */
  function fold(button, target, folded) {
    target.classList.toggle('folded', folded);
    dom.mark(button, 'expanded', !folded);
  }

  /** Folds each group of foods under its heading. */
  function foldGroups() {
    for (const list of dom.all('#food .foods')) {
      const heading = /** @type {HTMLElement} */ (list.previousElementSibling);
      const words = heading.textContent;
      heading.textContent = '';
      const button = dom.button(heading, 'fold', words, () => fold(button, list, !list.classList.contains('folded')));
      button.setAttribute('aria-controls', list.id);
      fold(button, list, true);
    }
  }

  /** A hit: the name to press, and the verdict that stands beside this very name in the list. @param {Element} food */
  function addHit(food) {
    const hit = dom.append(element('find-hits'), 'li', '');
    const button = dom.button(hit, 'fold', inside(food, 'dt').textContent, () => {
      const opens = verdict.classList.contains('folded');
      for (const other of dom.all('#find-hits li')) fold(inside(other, 'button'), inside(other, 'p'), true);
      fold(button, verdict, !opens);
    });
    const verdict = dom.append(hit, 'p', '');
    dom.repeat(verdict, inside(food, 'dd').childNodes);
    fold(button, verdict, true);
    return button;
  }

  function start() {
    const finder = element('find');
    if (!finder) return; // the unit has signed no list
    const field = /** @type {HTMLInputElement} */ (element('find-word'));
    const hits = element('find-hits');
    const foods = dom.all('[data-find]');
    /** @type {any} made when something is typed: it takes a while on an old phone */
    let known;

    field.value = '';
    field.oninput = () => {
      /** @type {number[] | null} */
      const found = finding.find(known = known || finding.index(
        foods.map((/** @type {HTMLElement} */ food) => ({ name: inside(food, 'dt').textContent || '', find: food.dataset.find || '' })),
        finder.dataset.small || '',
        finder.dataset.letters || ''
      ), field.value);
      const count = found ? found.length : -1;
      hits.textContent = '';
      for (const place of found || []) {
        const button = addHit(foods[place]);
        if (count === 1) button.click();
      }
      dom.show('find-one', count === 1);
      dom.show('find-many', count > 1);
      dom.show('find-none', !count);
    };
    field.onkeydown = (event) => {
      const first = hits.querySelector('button');
      if (event.key === 'Enter' && first && !event.isComposing) {
        event.preventDefault();
        first.focus(); // also puts a phone's keyboard away
      }
    };
    foldGroups();
    finder.hidden = false;
  }

  daybefore.food = { start };
})();
