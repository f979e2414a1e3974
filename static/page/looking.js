// @ts-check
// The look into the bowl: the pictures become answers, and what they mean is said in the page's own sentences.
/** @type {DaybeforeScripts} */
var daybefore = window.daybefore || {};

(function () {
  'use strict';

  const clarity = daybefore.clarity;
  const memory = daybefore.memory;
  const plan = daybefore.block.plan;
  const words = daybefore.block.words;
  const dom = daybefore.dom;
  const element = dom.element;
  let moment = 0;
  let inDoubt = false;

  /** Read before each use: the plan may be open twice. @returns {Looked} */
  function kept() {
    return memory.get('looked') || {};
  }

  /** Makes the look answerable. */
  function start() {
    for (const place of dom.all('#bowl [data-answer]')) {
      const [question, answer] = answerOf(place);
      const button = dom.button(place, 'quiet', '', () => {
        const now = inDoubt ? 0 : dom.minute();
        memory.set('looked', clarity.answered(kept(), question, answer, now, plan.look));
        show();
        // What is said follows the answers, so a voice is told; the phone number is not part of it.
        dom.say(element('bowl-says').textContent);
      });
      while (place.firstChild !== button) button.appendChild(/** @type {Node} */ (place.firstChild));
      place.hidden = false;
    }
    for (const link of dom.all('#clarity a[href^="#ask-"]')) {
      daybefore.questions.opens(link, /** @type {HTMLAnchorElement} */ (link).hash.slice(1));
    }
  }

  /** The question and the answer that a place is for. @param {HTMLElement} place */
  function answerOf(place) {
    return (place.dataset.answer || '').split(' ');
  }

  function show() {
    const looked = kept();
    const told = clarity.advice(looked, moment, plan.look, inDoubt);
    for (const place of dom.all('#bowl [data-answer]')) {
      const [question, answer] = answerOf(place);
      dom.mark(/** @type {Element} */ (place.lastChild), 'pressed', looked[question] === answer);
    }
    const when = looked.at && Object.keys(looked).length > 1 && !inDoubt ? daybefore.clock.full(looked.at, plan) : '';
    dom.rewrite('bowl-when', when && words.looked, { when }).hidden = !when;
    const place = element('bowl-says');
    if (dom.isAnother(place, told.says.join())) {
      for (const name of told.says) {
        if (name === 'anew') dom.append(place, 'p', words.anew);
        dom.repeat(place, dom.all('#clarity [data-say=' + name + ']'));
      }
      dom.show('bowl-says', told.says.length);
    }
    dom.show('bowl-call', told.call);
    // One number, beside the reason to call.
    dom.show('card-call', !(told.call && element('card-bowl').contains(element('bowl'))));
    if (told.call) daybefore.now.writeCall(element('bowl-call'), moment);
  }

  /** @param {number} now epoch minutes @param {boolean} doubted @param {boolean} onCard */
  function draw(now, doubted, onCard) {
    const look = element('bowl');
    moment = now;
    inDoubt = doubted;
    // It is moved, not copied: it is read once, and has one place to answer.
    if (onCard === element('bowl-away').hidden) {
      if (onCard) element('card-bowl').appendChild(look);
      else element('bowl-away').after(look);
      dom.show('bowl-away', onCard);
    }
    show();
  }

  daybefore.looking = { start, draw };
})();
