// @ts-check
// Whether the plan is kept on this phone and still stands, in the page's words; and taking it off the phone.
/** @type {DaybeforeScripts} */
var daybefore = window.daybefore || {};

(function () {
  'use strict';

  const clock = daybefore.clock;
  const memory = daybefore.memory;
  const offline = daybefore.offline;
  const plan = daybefore.block.plan;
  const words = daybefore.block.words;
  const dom = daybefore.dom;
  const element = dom.element;
  let asking = false;

  let isFarewell = false;
  let redraw = () => {};

  /**
   * @param {boolean} farewell keeps nothing on a phone that kept nothing of the plan
   * @param {() => void} onChecked told when the page was compared with the unit's
   */
  function start(farewell, onChecked) {
    isFarewell = farewell;
    redraw = onChecked;
    offline.start(plan.mark, farewell);
  }

  /** Told each time it changes whether the page is kept. @param {OfflineState} state */
  function tellState(state) {
    for (const saved of dom.all('#saved')) saved.dataset.state = state;
    // Where nothing can be kept, the link goes to a browser that can.
    if (state === 'impossible' && offline.isOnline && element('copy')) {
      daybefore.sharing.offerCopy('copy', offline.here, 'copied');
    }
  }

  /**
   * Told each time the page shown has been found to be the one the unit has.
   * @param {boolean | null} wrong whether this phone's clock differs from the unit's server; null where that does not say
   */
  function tellChecked(wrong) {
    if (isFarewell) return;
    memory.set('checked', dom.minute());
    if (wrong !== null) memory.set('wrong', wrong);
    redraw();
  }

  /** Whether a reload would take something away from the reader. */
  function isAsking() {
    return asking;
  }

  /** Whether this phone's clock was found to differ from the unit's, when the two were last compared. */
  function clockWasWrong() {
    return memory.get('wrong');
  }

  /**
   * When the page was last compared with the unit's.
   * @param {number} now epoch minutes
   * @param {boolean} doubted whether the phone's clock cannot be trusted
   */
  function showChecked(now, doubted) {
    const at = memory.get('checked');
    const known = at && !doubted && at <= now + 1;
    dom.show('checked', known);
    if (!known) return;
    const text = clock.isSameDay(at, now, plan) ? words.checkedToday : words.checkedSince;
    dom.rewrite('checked', text, { time: clock.time(at, plan), when: clock.dateTime(at, plan) });
  }

  /** An icon on the home screen has no button to load anew. @param {() => void} draw */
  function offerLook(draw) {
    dom.show('look', offline.isOnline);
    dom.onPress('look', () => {
      dom.show('silent', false);
      offline.look().then((/** @type {boolean} */ heard) => {
        dom.show('silent', !heard);
        draw();
      });
    });
  }

  /** Nothing is cleared until the reader says so. @param {() => void} onCleared */
  function offerClearing(onCleared) {
    dom.show('clear-phone', true);
    dom.onPress('clear-phone', () => {
      const forgotten = memory.forget();
      offline.wipe().then((/** @type {boolean} */ wiped) => {
        dom.show('clear-phone', false);
        dom.show(forgotten && wiped ? 'cleared' : 'not-cleared', true);
        asking = false;
        onCleared();
      });
    });
  }

  /** The plan's own way to the same: it asks first. @param {() => void} draw */
  function offerWiping(draw) {
    /** @param {boolean} asks @param {string} focus */
    function ask(asks, focus) {
      asking = asks;
      dom.show('wipe', !asks);
      dom.show('wipe-ask', asks);
      element(focus).focus();
    }
    dom.show('wipe', true);
    dom.onPress('wipe', () => ask(true, 'wipe-no'));
    dom.onPress('wipe-no', () => ask(false, 'wipe'));
    offerClearing(() => {
      for (const id of ['wipe-ask', 'saved', 'look', 'silent', 'first', 'change']) dom.show(id, false);
      draw();
    });
  }

  daybefore.keeping = {
    start, tellState, tellChecked, isAsking, clockWasWrong, showChecked, offerLook, offerClearing, offerWiping,
  };
})();
