// @ts-check
// The questions people ask: closed until tapped, open on paper, and offered on the card at their moment.
/** @type {DaybeforeScripts} */
var daybefore = window.daybefore || {};

(function () {
  'use strict';

  const dom = daybefore.dom;
  const element = dom.element;
  const all = /** @type {HTMLDetailsElement[]} */ (dom.all('#questions details'));
  /** @type {HTMLElement[]} */
  let openOnScreen = [];

  /** Closes all but the one that the address names; paper gets them all. */
  function start() {
    for (const question of all) question.open = '#' + question.id === location.hash;
    window.onbeforeprint = () => {
      openOnScreen = all.filter((question) => question.open);
      for (const question of all) question.open = true;
    };
    window.onafterprint = () => {
      for (const question of all) question.open = openOnScreen.includes(question);
    };
  }

  /**
   * Puts the questions of a moment on the card.
   * @param {string[]} names
   */
  function offer(names) {
    const place = element('card-asked');
    const list = /** @type {HTMLElement} */ (place.querySelector('ul'));
    dom.show('card-asked', names.length);
    if (!dom.isAnother(list, names.join())) return;
    for (const name of names) {
      const question = element('ask-' + name);
      const words = /** @type {Element} */ (question.querySelector('summary')).textContent;
      const link = /** @type {HTMLAnchorElement} */ (dom.append(dom.append(list, 'li', ''), 'a', words));
      link.href = '#ask-' + name;
      opens(link, question.id);
    }
  }

  /** Has a link also open the question that it leads to. @param {HTMLElement} link @param {string} id */
  function opens(link, id) {
    link.onclick = () => {
      /** @type {HTMLDetailsElement} */ (element(id)).open = true;
    };
  }

  daybefore.questions = { start, offer, opens };
})();
