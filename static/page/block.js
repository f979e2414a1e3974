// @ts-check
// Reads the data block. What the page says elsewhere, or the phone can work out, is not sent a second time.
/** @type {DaybeforeScripts} */
var daybefore = window.daybefore || {};

(function () {
  'use strict';

  const clock = daybefore.clock;

  const block = document.querySelector('#plan,#notice');
  /** The block of a plan, or of what stands in its place, byte for byte as the build wrote it. */
  const text = (block && block.textContent) || '{}';

  function read() {
    const data = JSON.parse(text);
    let since = 0;
    // Each stretch is sent as minutes after the start of the one before it, and its length.
    data.calls = (data.calls || []).map((/** @type {number[]} */ call) => {
      since += call[0];
      return [since, since + call[1], call[2]];
    });
    for (const step of data.steps || []) {
      const title = document.querySelector('#step-' + step.id + ' h4');
      step.key = step.id + '-' + step.key;
      step.title = (title && title.textContent) || '';
      step.when = (step.allDay ? clock.date : clock.when)(step.start, data);
      if (step.pace) Object.assign(step.pace, { kind: step.kind, start: step.start, glasses: step.glasses });
    }
    return data;
  }

  /** @type {Plan} what this page was made from, `what` only where it stands in a plan's place; empty if it has no block */
  const plan = read();

  const words = plan.words;

  daybefore.block = { text, plan, words };
})();
