// @ts-check
// The size of the letters, remembered with the plan: the same in each of its documents, and in what takes its place.
/** @type {DaybeforeScripts} */
var daybefore = window.daybefore || {};

(function () {
  'use strict';

  const memory = daybefore.memory;
  const dom = daybefore.dom;

  function start() {
    const buttons = /** @type {HTMLButtonElement[]} */ (dom.all('#size button'));

    function draw() {
      const size = memory.get('size') || 'usual';
      document.documentElement.dataset.size = size;
      for (const button of buttons) dom.mark(button, 'pressed', button.value === size);
    }

    for (const button of buttons) {
      button.onclick = () => {
        memory.set('size', button.value);
        draw();
      };
    }
    dom.show('size', true);
    draw();
  }

  daybefore.size = { start };
})();
