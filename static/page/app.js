// @ts-check
// Joins the parts on the page: a plan, or what stands in its place.
/** @type {DaybeforeScripts} */
var daybefore = window.daybefore || {};

(function () {
  'use strict';

  const JUMP = 120000; // milliseconds a clock must have been set back to be noticed
  const due = daybefore.due;
  const keeping = daybefore.keeping;
  const now = daybefore.now;
  const starting = daybefore.starting;
  const plan = daybefore.block.plan;
  const dom = daybefore.dom;
  const element = dom.element;
  let mine = true;
  let latest = 0;
  let wasSetBack = false;

  /** Draws now, each quarter of a minute, and on waking. @param {() => void} draw */
  function keepDrawing(draw) {
    draw();
    dom.onWake(draw, 15000);
  }

  /** @param {number} minute */
  function isDoubted(minute) {
    // A leap ahead may be sleep, in which the running time stands still on many phones.
    if (Date.now() < latest - JUMP) wasSetBack = true;
    latest = Date.now();
    const offset = -new Date().getTimezoneOffset(); // minutes east of UTC
    return wasSetBack || keeping.clockWasWrong() || due.doubted(plan, minute, offset);
  }

  function draw() {
    const minute = dom.minute();
    const doubted = isDoubted(minute);
    now.draw(minute, doubted);
    daybefore.dayline.draw(minute, doubted);
    // One thing at a time: is it yours, may you start, and then what to do.
    const open = mine && starting.isOpen(minute, doubted);
    const card = element('card');
    starting.show(open);
    if (!mine || open) card.hidden = true;
    const step = plan.steps[due.at(plan, minute).step];
    daybefore.looking.draw(minute, doubted, !card.hidden && Boolean(step) && step.id === plan.look.step);
    if (!dom.isCopy) keeping.showChecked(minute, doubted);
  }

  function startPlan() {
    daybefore.questions.start();
    now.start();
    starting.start(draw);
    daybefore.looking.start();
    mine = !daybefore.confirm.start((/** @type {boolean} */ answer) => {
      mine = answer;
      draw();
    });
    // A copy has nothing to keep, and no address at which it could change.
    if (!dom.isCopy) {
      keeping.start(false, () => {
        wasSetBack = false;
        draw();
      });
      keeping.offerLook(draw);
      keeping.offerWiping(draw);
    }
    keepDrawing(draw);
    daybefore.food.start();
    daybefore.sharing.start();
    // The top is there: now the drawings below may come, before a window that keeps nothing loses its link.
    for (const picture of /** @type {HTMLImageElement[]} */ (dom.all('img'))) picture.loading = 'eager';
  }

  /** A page that stands in the place of a plan: held, cancelled, ended, or the farewell. */
  function startNotice() {
    const farewell = plan.what === 'farewell';

    function drawNotice() {
      const minute = dom.minute();
      const known = !isDoubted(minute) && minute < plan.until;
      element('card-call').hidden = !known;
      if (known) now.showCall(minute);
      else now.showFirstLine();
    }

    keeping.start(farewell, farewell ? () => {} : drawNotice);
    if (farewell) keeping.offerClearing(() => {});
    else keepDrawing(drawNotice);
  }

  if (plan.mark) {
    document.documentElement.classList.add('scripted');
    daybefore.memory.open(plan.mark);
    daybefore.size.start();
    (plan.what ? startNotice : startPlan)();
  }
})();
