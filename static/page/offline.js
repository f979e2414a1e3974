// @ts-check
/**
 * Offline: is this plan kept on this phone, has it changed, is it gone; and how to wipe it.
 *
 * Holds no words for people: keeping.js shows the words for each state.
 */
/** @type {DaybeforeScripts} */
var daybefore = window.daybefore || {};

(function () {
  'use strict';

  const SAVE_LIMIT = 20000; // milliseconds until "saving" becomes "failed"; `ready` would wait for ever
  const ASK_AGAIN = 30000; // milliseconds between two looks for a new plan
  const LOOK_EVERY = 300000; // milliseconds between two looks of a page that stays in sight
  const ANSWER_LIMIT = 3000; // milliseconds for the worker to wipe
  const CLOCK_LIMIT = 120000; // milliseconds the phone's clock may differ from the server's
  const LOOK_AFTER = 300; // milliseconds between two looks whether all is kept
  const RETRY_RELOAD = 1000; // milliseconds between two looks whether a delayed reload may happen

  let own = ''; // what only a page of this plan holds
  let ifKept = false;
  let state = '';
  let prefix = '';
  let wiped = false;
  let lastLook = 0;
  /** @type {ServiceWorkerRegistration | null} */
  let followed = null;

  const here = location.href.replace(/[?#].*$/, '').replace(/\/index\.html$/, '/');
  const isOnline = /^https?:$/.test(location.protocol);

  /**
   * Starts keeping the plan, and watching for a new one.
   * @param {string} mark first 12 hex digits of SHA-256(token)
   * @param {boolean} onlyIfKept keeps the page only where something of its plan is kept already
   */
  function start(mark, onlyIfKept) {
    lastLook = Date.now();
    prefix = 'daybefore-' + mark + '-';
    own = 'data-mark="' + mark + '"';
    ifKept = onlyIfKept;
    daybefore.dom.onWake(look, LOOK_EVERY); // a page that lies open all evening never wakes
    if (!isPossible()) return enter('impossible');
    let controlled = navigator.serviceWorker.controller;
    navigator.serviceWorker.oncontrollerchange = async () => {
      // Who opened the new plan already sees what is kept, and loses no place. The old plan's cache may still be there.
      for (const cacheName of controlled ? await ownCaches() : []) {
        const kept = await caches.match(here, { cacheName });
        if (kept) isAnother(await kept.text());
      }
      controlled = navigator.serviceWorker.controller;
    };
    save();
  }

  /** Feature by feature, never by the browser's name. */
  function isPossible() {
    try {
      return isOnline && navigator.serviceWorker && window.caches;
    } catch (_) {
      return false; // some windows throw when these are only looked at
    }
  }

  /** @param {OfflineState} next */
  function enter(next) {
    if (wiped || next === state) return;
    state = next;
    daybefore.keeping.tellState(next);
    if (next !== 'saving') check();
  }

  function save() {
    enter('saving');
    setTimeout(() => {
      if (state === 'saving') enter('failed');
    }, SAVE_LIMIT);
    // Where storage is switched off the object is there and every call is refused.
    caches.keys().then(ownRegistration).then((existing) => {
      // On a weak link register() may hang, and what is kept already is kept.
      followed = existing;
      settle();
      if (!wiped && (existing || !ifKept)) register();
    }, () => enter('impossible'));
  }

  function register() {
    navigator.serviceWorker.register('sw.js', { updateViaCache: 'none' }).then((registration) => {
      if (!registration) return enter('impossible'); // an automated or restricted window
      followed = registration;
      settle();
      renew();
    }).catch((error) => {
      if (state !== 'saved') enter(error && error.name === 'NotSupportedError' ? 'impossible' : 'failed');
    });
  }

  /** Has the browser look for another worker. */
  function renew() {
    if (followed && followed.active) followed.update().catch(() => {});
  }

  /** Says "saved" only after the worker has found everything; while an install runs there is nothing to say yet. */
  async function settle() {
    if (!followed || wiped || state === 'saved') return;
    const worker = followed.active;
    if (!worker && (followed.installing || followed.waiting)) setTimeout(settle, LOOK_AFTER);
    else enter(worker && (await done(worker, { page: here, shown: daybefore.block.text }, SAVE_LIMIT)) ? 'saved' : 'failed');
  }

  async function ownCaches() {
    return (await caches.keys()).filter((name) => name.startsWith(prefix));
  }

  /**
   * Has the worker do something, and waits for it.
   * @param {ServiceWorker} worker @param {object} message @param {number} limit milliseconds
   * @returns {Promise<any>} whether it was done; undefined if it did not say
   */
  function done(worker, message, limit) {
    const channel = new MessageChannel();
    worker.postMessage(message, [channel.port2]);
    return within(new Promise((resolve) => {
      channel.port1.onmessage = (event) => resolve(event.data);
    }), limit).catch(() => {});
  }

  /** @template T @param {Promise<T>} promise @param {number} limit milliseconds @returns {Promise<T>} */
  function within(promise, limit) {
    return Promise.race([promise, new Promise((_, reject) => setTimeout(reject, limit))]);
  }

  /** An installed page may stay open for days, and the browser does not look by itself. */
  function look() {
    // The difference may be negative: a clock that was set back must not stop the looking.
    if (document.visibilityState === 'visible' && Math.abs(Date.now() - lastLook) >= ASK_AGAIN) lookNow();
  }

  /** Looks for a newer plan, and asks whether the one shown still stands. */
  function lookNow() {
    lastLook = Date.now();
    if (state === 'failed') save();
    renew();
    return check();
  }

  /**
   * Compares the page as the unit has it now with the one shown. Where there is a worker, it keeps what it sees.
   * @returns {Promise<boolean>} whether the unit's site has answered
   */
  async function check() {
    const sent = Date.now();
    try {
      const response = await within(fetch(here, { cache: 'no-cache' }), SAVE_LIMIT);
      const headers = response.headers;
      const came = Date.now();
      const text = await response.text();
      const gone = response.status === 404 || response.status === 410;
      if (wiped || !(gone || text.includes(own))) return false;
      if (gone) document.documentElement.dataset.gone = '';
      else if (!isAnother(text)) {
        // Dated between the asking and the coming, however slow the link. What comes out of a store on the way (`Age`,
        // RFC 9111) proves nothing. The one date in words that is read: it has the form of RFC 9110, 5.6.7, always, which
        // is what every engine writes with toUTCString and has to read back (ECMA-262, 21.4.3.2).
        const dated = Date.parse(headers.get('date') || '');
        const told = dated && !Number(headers.get('age'));
        daybefore.keeping.tellChecked(told ? dated < sent - CLOCK_LIMIT || dated > came + CLOCK_LIMIT : null);
      }
      return true;
    } catch (_) {
      return false;
    }
  }

  /**
   * Whether a page is another than the one shown, by its data block; then it is loaded, once: two servers with different plans must not
   * make the page reload for ever.
   * @param {string} text
   */
  function isAnother(text) {
    if (text.includes(daybefore.block.text)) return false;
    let hash = 0;
    for (let at = 0; at < text.length; at++) hash = (hash * 31 + text.charCodeAt(at)) | 0;
    let seen = '';
    try {
      seen = sessionStorage.getItem(prefix) || '';
      sessionStorage.setItem(prefix, seen + hash + ' ');
    } catch (_) {
      // A window without storage reloads as often as it finds another page.
    }
    if (!seen.includes(hash + ' ')) reloadWhenFree();
    return true;
  }

  /** Not while the reader would lose something. */
  function reloadWhenFree() {
    const node = /** @type {Element} */ (document.activeElement); // the body where nothing has the focus
    if (wiped) return;
    if (daybefore.keeping.isAsking() || node.matches('input')) setTimeout(reloadWhenFree, RETRY_RELOAD);
    else location.reload();
  }

  /**
   * Takes the plan off this phone as far as worker and caches go; what was ticked is the diary's.
   * @returns {Promise<boolean>} whether nothing of it is left
   */
  async function wipe() {
    wiped = true;
    try {
      sessionStorage.removeItem(prefix);
    } catch (_) {
      // Nothing was stored.
    }
    if (!isPossible()) return true;
    try {
      const registration = await ownRegistration();
      if (registration && registration.active) await done(registration.active, {}, ANSWER_LIMIT);
      // Again from here: an old worker may not have answered.
      if (registration) await registration.unregister();
      await Promise.all((await ownCaches()).map((name) => caches.delete(name)));
      return !(await ownCaches()).length;
    } catch (_) {
      return false;
    }
  }

  /** Never the one of a neighbour whose scope takes in ours. */
  async function ownRegistration() {
    const registration = await navigator.serviceWorker.getRegistration('./');
    return registration && registration.scope === here.replace(/[^/]*$/, '') ? registration : null;
  }

  daybefore.offline = { start, wipe, look: lookNow, isOnline, here };
})();
