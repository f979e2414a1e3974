// @ts-check
/**
 * The worker of one plan. It keeps this plan on the phone, and hands out the newest page it can get.
 *
 * The build writes one line in front: `const PLAN={...};` (types in tests/worker-globals.d.ts).
 * It knows only its own folder, the shared files under ../../a/, and caches named after its own mark.
 */
(function () {
  'use strict';

  const worker = /** @type {ServiceWorkerGlobalScope} */ (/** @type {unknown} */ (self));
  /** @param {string} name */
  const at = (name) => new URL(name, worker.location.href).href;
  const PREFIX = 'daybefore-' + PLAN.mark + '-';
  const CACHE = PREFIX + PLAN.digest;
  const PAGES = PLAN.pages.map(at);
  const OURS = PAGES.concat(PLAN.files.map(at));
  const PATIENCE = 3000; // milliseconds; a weak link can hold a request open for minutes

  /**
   * What the network said about one address: nothing if no whole answer came, or one that is not ours.
   * @typedef {object} News
   * @property {Response} [response] the answer
   * @property {boolean} [gone] whether it was 404 or 410
   * @property {ArrayBuffer} [body] else
   * @property {string} [text] of a page
   */

  let wiped = false;
  /** One renewal after the other, so that the last to write is the last that asked. @type {Promise<void>} */
  let renewal = Promise.resolve();

  /**
   * Asks the network and reads the whole body: headers alone prove nothing on a weak link.
   * @param {string} url
   * @param {RequestCache} [cache]
   * @returns {Promise<News>} never rejects
   */
  async function newsOf(url, cache = 'reload') {
    const page = PAGES.includes(url);
    try {
      // A redirected answer may not stand in for a navigation, so redirects are not followed.
      const response = await fetch(url, { cache, redirect: 'manual' });
      if (response.status === 404 || response.status === 410) return { response, gone: true };
      const html = /^text\/html/i.test(response.headers.get('content-type') || '');
      const body = await response.arrayBuffer();
      const text = page ? new TextDecoder().decode(body) : '';
      // A host's catch-all page comes with 200 for everything: never take one for a file of ours.
      const ours = html === page && (!page || text.includes('data-mark="' + PLAN.mark + '"'));
      if (response.status !== 200 || !ours) return {};
      return { response: copyOf(response, body), body, text };
    } catch (_) {
      return {};
    }
  }

  /**
   * A fresh answer with the same headers (the page's policy among them) around a body already decoded. An encoding
   * named among them is not undone again, nor is a length held to: browsers take a made answer as it is.
   * @param {Response} response
   * @param {ArrayBuffer | string} body
   */
  function copyOf(response, body) {
    return new Response(body, { headers: response.headers });
  }

  /** What is kept of an answer; rejects if it is none of ours. @param {string} url @param {News | Promise<News>} news */
  async function copyAt(url, news) {
    const { response, body, text } = await news;
    if (!response || !body) throw url;
    return { url, copy: copyOf(response, body), text };
  }

  /** @param {string[]} urls */
  function copiesOf(urls) {
    return Promise.all(urls.map((url) => copyAt(url, newsOf(url))));
  }

  /** The shared files that a page names. @param {string} [page] */
  const needsOf = (page) => ((page || '').match(/\/a\/[0-9a-f]+\/[\w./-]+/g) || []).map((found) => at('../..' + found));

  /** Keeps the whole plan, or nothing. Everything is read and checked before anything is written. */
  async function precache() {
    const ours = await copiesOf(OURS);
    // A plan is replaced file by file, the worker last: a page may already name newer shared files.
    const needs = new Set(needsOf(ours.map((one) => one.text).join()));
    const all = ours.concat(await copiesOf([...needs]));
    const had = await caches.has(CACHE);
    try {
      const cache = await caches.open(CACHE);
      await Promise.all(all.map((one) => cache.put(one.url, one.copy)));
    } catch (error) {
      // A phone with no room left leaves a part; a cache in use until now stays, each file of it whole.
      if (!had) await caches.delete(CACHE);
      throw error;
    }
  }

  /** @param {string} url */
  function keptCopy(url) {
    // By name and without opening: opening would make the cache again after it was wiped.
    return caches.match(url, { cacheName: CACHE, ignoreVary: true }).catch(() => undefined);
  }

  /**
   * Whether a page is kept with all that it needs, and with the rest of the plan.
   * @param {string} url
   * @param {string} shown what tells it from any other at its address
   */
  async function isKept(url, shown) {
    const kept = await keptCopy(url);
    const page = kept ? await kept.text() : '';
    const needs = await Promise.all(needsOf(page).concat(OURS).map(keptCopy));
    return page.includes(shown) && needs.every(Boolean);
  }

  /** Keeps a page that an open window shows, as far as it can. @param {string} url @param {string} shown */
  async function save(url, shown) {
    // Something may have been lost: the browser cleared a part, or a write failed.
    return (await isKept(url, shown)) || precache().then(() => isKept(url, shown));
  }

  /** Which version of the plan a page is of, or what has become of the plan. @param {string} page */
  const issueOf = (page) => (page.match(/"(code|version|what)":[^,}]*/g) || []).join();

  /**
   * Another page than the one kept has been seen: all of the plan is asked for anew, a page kept only together with the
   * style and the scripts that it names. What cannot be had of another version may not pass for the plan: an old page is
   * marked, and where there is no room even for that, it goes. Pages that differ otherwise only are editions of one
   * version.
   * @param {string} seen its address
   * @param {News} news
   */
  async function renew(seen, news) {
    if (wiped || !(await caches.has(CACHE))) return;
    // Opened once: a worker that takes over deletes it meanwhile, and opening again would make it again.
    const cache = await caches.open(CACHE);
    await Promise.all(OURS.map(async (url) => {
      try {
        const ours = await copyAt(url, url === seen ? news : newsOf(url));
        for (const need of needsOf(ours.text)) {
          if (await keptCopy(need)) continue;
          await copyAt(need, newsOf(need)).then((one) => cache.put(need, one.copy)).catch((error) => {
            if (!need.includes('/pictures/')) throw error; // new times without a drawing are better than none
          });
        }
        await cache.put(url, ours.copy);
      } catch (_) {
        const kept = PAGES.includes(url) && (await keptCopy(url));
        const was = kept ? await kept.text() : '';
        if (was && issueOf(was) === issueOf(news.text || '')) return;
        await (kept ? cache.put(url, markedGone(kept, was)) : Promise.reject(url)).catch(() => cache.delete(url));
      }
    }));
    if (wiped) await caches.delete(CACHE);
  }

  /** @param {Response} kept @param {string} text */
  function markedGone(kept, text) {
    return copyOf(kept, text.replace('<html', '<html data-gone'));
  }

  /**
   * Undefined when it took longer than a reader should wait.
   * @template T @param {Promise<T>} promise @returns {Promise<T | undefined>}
   */
  function inTime(promise) {
    return Promise.race([promise, /** @type {Promise<undefined>} */ (new Promise((resolve) => {
      setTimeout(resolve, PATIENCE);
    }))]);
  }

  /**
   * Answers for a page or file of ours: from the network if that is whole, ours and in time, else what is kept. A page's
   * script that asks for its page wants to know what the unit has now, and nothing else.
   * @param {FetchEvent} event
   * @param {string} url
   */
  function answer(event, url) {
    const page = PAGES.includes(url);
    const asks = page && event.request.mode !== 'navigate';
    const arrival = newsOf(url, asks ? 'no-cache' : 'reload');

    async function keep() {
      const news = await arrival;
      const seen = news.text;
      const kept = seen && (await keptCopy(url));
      if (!seen || (kept && (await kept.text()) === seen)) return;
      renewal = renewal.then(() => renew(url, news)).catch(() => {});
      await renewal;
    }

    async function answered() {
      const news = asks ? await arrival : await inTime(arrival);
      if (news && news.body) await inTime(keeping);
      const kept = !asks && !(news && news.body) && (await keptCopy(url));
      // Without an answer of ours the browser says that the network failed.
      if (!kept) return /** @type {Response} */ ((await arrival).response);
      return page && news && news.gone ? markedGone(kept, await kept.text()) : kept;
    }

    const keeping = keep();
    event.respondWith(answered());
    event.waitUntil(keeping);
  }

  /** @param {string} [except] */
  async function deleteOwnCaches(except) {
    const names = (await caches.keys()).filter((name) => name.startsWith(PREFIX) && name !== except);
    await Promise.all(names.map((name) => caches.delete(name)));
  }

  worker.oninstall = (event) => {
    event.waitUntil(precache().then(() => worker.skipWaiting()));
  };

  worker.onactivate = (event) => {
    event.waitUntil(deleteOwnCaches(CACHE).then(() => worker.clients.claim()));
  };

  worker.onfetch = (event) => {
    const request = event.request;
    const url = request.url.replace(/[?#].*$/, '').replace(/\/index\.html$/, '/');
    if (request.method !== 'GET') return;
    if (OURS.includes(url)) answer(event, url);
    else if (url.startsWith(at('../../a/'))) {
      event.respondWith(keptCopy(url).then((kept) => kept || fetch(request)));
    }
  };

  worker.onmessage = (event) => {
    const { page, shown } = event.data;
    if (wiped || !event.ports[0]) return;
    wiped = !page; // who names no page wipes the plan
    event.waitUntil((page ? save(page, shown) : worker.registration.unregister()).catch(() => false).then(async (done) => {
      // Last: a saving that was under way when the reader wiped may have written again.
      if (wiped) await deleteOwnCaches();
      event.ports[0].postMessage(done);
    }));
  };
})();
