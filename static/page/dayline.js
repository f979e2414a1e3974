// @ts-check
// Moves the mark for now along the line of the day, in the list and on the card.
/** @type {DaybeforeScripts} */
var daybefore = window.daybefore || {};

(function () {
  'use strict';

  const dom = daybefore.dom;
  const WIDTH = 320; // of the drawing: generator/page/day_line.py

  /**
   * Places go by elapsed time, as in the drawing; where the clock is in doubt there is no now.
   * @param {number} now epoch minutes
   * @param {boolean} doubted whether the phone's clock cannot be trusted
   */
  function draw(now, doubted) {
    const card = dom.element('card-line');
    card.hidden = true;
    for (const line of dom.all('#steps .day-line')) {
      const day = (line.dataset.day || '').split(' ').map(Number); // the minute at its left edge, and how many it is wide
      const along = (now - day[0]) * WIDTH / day[1];
      const hand = /** @type {Element} */ (line.lastChild);
      const today = !doubted && along >= 0 && along <= WIDTH;
      hand.setAttribute('d', today ? 'M' + Math.round(along) + ' 0V9' : '');
      if (!today) continue;
      card.hidden = false;
      card.replaceChild(line.cloneNode(true), /** @type {Node} */ (card.firstChild));
    }
  }

  daybefore.dayline = { draw };
})();
