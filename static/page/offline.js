// @ts-check
/**
 * Offline: is this plan kept on this phone, has it changed, is it gone; and how to wipe it.
 *
 * Holds no words for people: the page shows the words for each state.
 */
/** @type {DaybeforeScripts} */
var daybefore = window.daybefore || {};

(function () {
  'use strict';

  const SAVE_LIMIT = 20000; // milliseconds until "saving" becomes "failed"; `ready` would wait for ever
  const ASK_AGAIN = 30000; // milliseconds between two looks for a new plan
  const LOOK_EVERY = 300000; // milliseconds between two looks of a page that stays in sight
  const ANSWER_LIMIT = 3000; // milliseconds for the worker's answer to a message
  const RETRY_RELOAD = 1000; // milliseconds between two looks whether a delayed reload may happen

  /** @type {OfflineOptions} */
  let options = { mark: '' };
  /** @type {OfflineState | ''} */
  let state = '';
  let prefix = '';
  let wiped = false;
  let gone = false;
  let lastLook = 0;
  /** @type {ServiceWorkerRegistration | null} */
  let followed = null;
  let waitingFor = '';
  let retryTimer = 0;
  let limitTimer = 0;

  const page = location.pathname.replace(/^.*\//, '').replace(/^(index\.html)?$/, './');
  const folder = location.pathname.replace(/[^/]*$/, '');

  /**
   * Starts keeping the plan, and watching for a new one.
   * @param {OfflineOptions} given
   */
  function start(given) {
    options = given;
    prefix = 'daybefore-' + given.mark + '-';
    if (document.documentElement.hasAttribute('data-gone')) showGone();
    watchWaking();
    if (!possible()) {
      lastLook = Date.now();
      enter('impossible');
      return;
    }
    watchController();
    save();
  }

  /** Feature by feature, never by the browser's name. */
  function possible() {
    try {
      return /^https?:$/.test(location.protocol) && window.isSecureContext !== false &&
        Boolean(navigator.serviceWorker) && Boolean(window.caches) && typeof fetch === 'function';
    } catch (error) {
      return false; // some windows throw when these are only looked at
    }
  }

  /** @param {OfflineState} next */
  function enter(next) {
    if (next !== 'saving') clearTimeout(limitTimer);
    if (wiped || next === state) return;
    state = next;
    if (options.onState) options.onState(next);
  }

  function save() {
    enter('saving');
    limitTimer = setTimeout(() => enter('failed'), SAVE_LIMIT);
    // Where storage is switched off the object is there and every call is refused.
    caches.keys().then(ownRegistration).then((existing) => {
      // On a weak link register() may hang, and what is kept already is kept.
      if (existing) follow(existing);
      if (existing || !options.onlyIfKept) register();
      else clearTimeout(limitTimer);
    }, () => enter('impossible'));
  }

  function register() {
    const wish = /** @type {RegistrationOptions} */ ({ scope: './', updateViaCache: 'none' });
    lastLook = Date.now();
    navigator.serviceWorker.register('sw.js', wish).then((registration) => {
      if (!registration) return enter('impossible'); // an automated or restricted window
      if (registration !== followed) follow(registration);
      if (registration.active) registration.update().catch(() => lookWhetherGone());
    }).catch((error) => {
      if (state !== 'saved') enter(error && error.name === 'NotSupportedError' ? 'impossible' : 'failed');
    });
  }

  /** @param {ServiceWorkerRegistration} registration */
  function follow(registration) {
    if (registration !== followed) {
      registration.addEventListener('updatefound', () => watch(registration, registration.installing));
      watch(registration, registration.installing);
      watch(registration, registration.waiting);
      watch(registration, registration.active);
    }
    followed = registration;
    settle(registration);
  }

  /**
   * @param {ServiceWorkerRegistration} registration
   * @param {ServiceWorker | null} worker
   */
  function watch(registration, worker) {
    if (!worker) return;
    let installed = worker.state !== 'installing';
    worker.addEventListener('statechange', () => {
      if (worker.state === 'redundant' && !installed && registration.active) lookBehindWorker();
      installed = true;
      if (worker.state === 'activated' || worker.state === 'redundant') settle(registration);
    });
  }

  /**
   * Says "saved" only after finding everything; while an install runs there is nothing to say yet.
   * @param {ServiceWorkerRegistration} registration
   */
  async function settle(registration) {
    if (wiped) return;
    if (await isKept()) {
      enter(registration.active ? 'saved' : 'saving');
    } else if (registration.installing || registration.waiting) {
      return;
    } else if (registration.active) {
      // The worker is there, but something was lost: the browser cleared a part, or a write failed.
      await asked(registration.active, { type: 'save' }, SAVE_LIMIT);
      enter((await isKept()) ? 'saved' : 'failed');
    } else {
      enter('failed');
    }
  }

  /** Whether one cache of this plan has this document as shown, and all it needs. */
  async function isKept() {
    try {
      const names = await ownCaches();
      const found = await Promise.all(names.map(holdsAll));
      return found.some(Boolean);
    } catch (error) {
      return false;
    }
  }

  /** @param {string} name */
  async function holdsAll(name) {
    // By name and without opening: opening would make a cache again that is just being cleared.
    const kept = await caches.match(new URL(page, document.baseURI).href, { cacheName: name });
    if (!kept) return false;
    if (!(await kept.text()).includes(ownWords())) return false;
    const found = await Promise.all(needs().map((url) => caches.match(url, { cacheName: name })));
    return found.every(Boolean);
  }

  /**
   * What tells this document from any other at its address: the data block holds code and times of a plan, or
   * what has become of it, byte for byte as the build wrote it.
   */
  function ownWords() {
    const block = document.querySelector('#plan, #notice');
    return (block && block.textContent) || '';
  }

  /** Addresses of the style sheets, scripts and pictures this document cannot do without. */
  function needs() {
    const urls = new Set((options.assets || []).map((url) => new URL(url, document.baseURI).href));
    const links = 'link[rel~="stylesheet"], link[rel~="icon"], link[rel="apple-touch-icon"]';
    document.querySelectorAll(links).forEach((link) => {
      urls.add(/** @type {HTMLLinkElement} */ (link).href);
    });
    document.querySelectorAll('script[src], img[src]').forEach((node) => {
      urls.add(/** @type {HTMLScriptElement | HTMLImageElement} */ (node).src);
    });
    return Array.from(urls).filter((url) => url.startsWith(location.origin + '/'));
  }

  async function ownCaches() {
    return (await caches.keys()).filter((name) => name.startsWith(prefix));
  }

  /**
   * Sends a message and waits for the answer.
   * @param {ServiceWorker} worker
   * @param {object} message
   * @param {number} limit milliseconds
   * @returns {Promise<any>} null if none came in time
   */
  function asked(worker, message, limit) {
    return new Promise((resolve) => {
      const channel = new MessageChannel();
      channel.port1.onmessage = (event) => resolve(event.data);
      setTimeout(resolve, limit, null);
      worker.postMessage(message, [channel.port2]);
    });
  }

  function watchWaking() {
    const lookIfSeen = () => {
      if (document.visibilityState === 'visible') look();
    };
    document.addEventListener('visibilitychange', lookIfSeen);
    setInterval(lookIfSeen, LOOK_EVERY); // a page that lies open all evening never wakes
    ['pageshow', 'focus', 'online'].forEach((name) => window.addEventListener(name, look));
  }

  /** An installed page may stay open for days, and the browser does not look by itself. */
  function look() {
    if (wiped || Date.now() - lastLook < ASK_AGAIN) return;
    lastLook = Date.now();
    if (state === 'impossible') {
      if (/^https?:$/.test(location.protocol) && typeof fetch === 'function') lookWithoutWorker();
      return;
    }
    if (state === 'failed') {
      save();
      return;
    }
    ownRegistration().then((registration) => {
      if (registration) return registration.update();
    }).catch(() => lookWhetherGone());
  }

  /**
   * A newer plan is there, but no room to keep it: the worker goes on with the old one, and a reload shows the new.
   * No worker answers for sw.js, so what comes is the unit's.
   */
  function lookBehindWorker() {
    fetch('sw.js', { cache: 'no-store' }).then(async (response) => {
      if (response.ok) reloadFor('worker ' + shortHash(await response.text()));
    }).catch(() => undefined);
  }

  /** Where no worker can be had, the document itself tells whether it has been overtaken. */
  function lookWithoutWorker() {
    fetch(page, { cache: 'no-store' }).then(async (response) => {
      if (response.status === 404 || response.status === 410) showGone();
      const text = response.ok ? await response.text() : '';
      const ours = text.includes('data-mark="' + options.mark + '"');
      if (ours && !text.includes(ownWords())) reloadFor('page ' + shortHash(text));
    }).catch(() => undefined);
  }

  /** A look that failed: no network, or the page is no longer there. HEAD passes the worker by. */
  function lookWhetherGone() {
    fetch(page, { method: 'HEAD', cache: 'no-store' }).then((response) => {
      if (response.status === 404 || response.status === 410) showGone();
    }).catch(() => undefined);
  }

  function showGone() {
    if (gone) return;
    gone = true;
    document.documentElement.setAttribute('data-gone', '');
    if (options.onGone) options.onGone();
  }

  function watchController() {
    const container = navigator.serviceWorker;
    let controlled = Boolean(container.controller);
    container.addEventListener('controllerchange', () => {
      if (controlled) reloadUnlessShown().catch(() => undefined);
      controlled = true;
    });
    container.addEventListener('message', (event) => {
      const message = event.data || {};
      if (message.page !== page) return;
      if (message.type === 'gone') showGone();
      if (message.type === 'changed') keptText().then((text) => reloadFor('page ' + shortHash(text)));
    });
    if (container.startMessages) container.startMessages();
    // What this page shows may have been overtaken before its script ran.
    if (container.controller) container.controller.postMessage({ type: 'hello', page });
  }

  /**
   * Who opened the new plan already sees what is kept, and loses no place. The old plan's cache may still be there.
   */
  async function reloadUnlessShown() {
    const names = await ownCaches();
    const shown = await Promise.all(names.map((name) => holdsAll(name).catch(() => false)));
    if (!shown.every(Boolean)) reloadFor(names.join(' '));
  }

  async function keptText() {
    const kept = await caches.match(new URL(page, document.baseURI).href);
    return kept ? kept.text() : '';
  }

  /** @param {string} text */
  function shortHash(text) {
    let hash = 0;
    for (let i = 0; i < text.length; i += 1) hash = (hash * 31 + text.charCodeAt(i)) | 0;
    return String(hash);
  }

  /**
   * Reloads once for each new plan, and not while the reader would lose something.
   * @param {string} reason names the new plan
   */
  function reloadFor(reason) {
    if (wiped || seenReasons().includes(reason)) return;
    const first = !waitingFor;
    waitingFor = reason;
    reloadWhenFree();
    if (!first || !waitingFor) return;
    retryTimer = setInterval(reloadWhenFree, RETRY_RELOAD);
    if (options.onWaiting) options.onWaiting();
  }

  function reloadWhenFree() {
    if (!waitingFor || wiped || hasFocusedField() || (options.busy && options.busy())) return;
    clearInterval(retryTimer);
    remember(waitingFor);
    waitingFor = '';
    location.reload();
  }

  /** A field somebody types in or chooses from; a ticked box keeps its focus for hours and loses nothing. */
  function hasFocusedField() {
    const node = /** @type {HTMLElement | null} */ (document.activeElement);
    if (!node) return false;
    const type = /** @type {HTMLInputElement} */ (node).type;
    if (node.tagName === 'INPUT') return !/^(button|checkbox|image|radio|reset|submit)$/.test(type);
    return node.tagName === 'TEXTAREA' || node.tagName === 'SELECT' || node.isContentEditable;
  }

  /** Two servers with different plans must not make the page reload for ever. @returns {string[]} */
  function seenReasons() {
    try {
      return JSON.parse(sessionStorage.getItem(prefix + 'reloads') || '[]');
    } catch (error) {
      return [];
    }
  }

  /** @param {string} reason */
  function remember(reason) {
    try {
      sessionStorage.setItem(prefix + 'reloads', JSON.stringify(seenReasons().concat(reason)));
    } catch (error) {
      // A window without storage: the flag lasts as long as the document.
    }
  }

  /**
   * Takes the plan off this phone as far as worker and caches go; what was ticked is the diary's.
   * @returns {Promise<boolean>} whether nothing of it is left
   */
  async function wipe() {
    wiped = true;
    clearInterval(retryTimer);
    clearTimeout(limitTimer);
    try {
      sessionStorage.removeItem(prefix + 'reloads');
    } catch (error) {
      // Nothing was stored.
    }
    if (!possible()) return true;
    try {
      const registration = await ownRegistration();
      const worker = registration && (registration.active || registration.waiting);
      if (worker) await asked(worker, { type: 'wipe' }, ANSWER_LIMIT);
      // Again from here: an old worker may not have answered.
      if (registration) await registration.unregister();
      await Promise.all((await ownCaches()).map((name) => caches.delete(name)));
      return (await ownCaches()).length === 0;
    } catch (error) {
      return false;
    }
  }

  /** Never the one of a neighbour whose scope takes in ours. */
  async function ownRegistration() {
    const registration = await navigator.serviceWorker.getRegistration('./');
    return registration && new URL(registration.scope).pathname === folder ? registration : null;
  }

  daybefore.offline = { start, wipe };
})();
