// @ts-check
/**
 * The worker of one plan. It keeps this plan on the phone, and hands out the newest page it can get.
 *
 * The build writes one line in front: `const PLAN = {...};` (types in tests/worker-globals.d.ts).
 * It knows only its own folder, the shared files under ../../a/, and caches named after its own mark.
 */
(function () {
  'use strict';

  const worker = /** @type {ServiceWorkerGlobalScope} */ (/** @type {unknown} */ (self));
  const FOLDER = new URL('./', worker.location.href);
  const ASSETS = new URL('../../a/', FOLDER).href;
  const PREFIX = 'daybefore-' + PLAN.mark + '-';
  const CACHE = PREFIX + PLAN.digest;
  const PATIENCE = 3000; // milliseconds; a weak link can hold a request open for minutes
  const MENTION = /\/a\/([0-9a-f]{6,64})\/([\w./-]+)/g;

  /**
   * What the network said about one address.
   * @typedef {object} News
   * @property {'sound' | 'gone' | 'unfit' | 'silent'} kind
   *   sound: whole and ours; gone: 404 or 410; unfit: any other answer; silent: no whole answer came
   * @property {Response} [response] the answer, for when nothing is kept
   * @property {ArrayBuffer} [body] of a sound answer
   * @property {string} [text] of a sound page
   * @property {unknown} [error] why it was silent
   */

  let wiped = false;
  let tickets = 0;
  /** @type {Object<string, number>} the ticket of the newest answer seen for each name */
  const newest = {};
  /** @type {Object<string, string>} what came too late for the page now shown: changed or gone */
  const lateNews = {};

  /** @param {string} name */
  const at = (name) => new URL(name, FOLDER).href;

  /** @param {string} name */
  const isPage = (name) => PLAN.pages.includes(name);

  /**
   * The name of our page or file at an address; query and fragment do not count.
   * @param {URL} url
   * @returns {string | null}
   */
  function nameOf(url) {
    if (!url.pathname.startsWith(FOLDER.pathname)) return null;
    const rest = url.pathname.slice(FOLDER.pathname.length);
    const name = rest === '' || rest === 'index.html' ? './' : rest;
    return isPage(name) || PLAN.files.includes(name) ? name : null;
  }

  /**
   * Asks the network and reads the whole body: headers alone prove nothing on a weak link.
   * @param {string} url
   * @param {boolean} page
   * @param {RequestCache} mode
   * @returns {Promise<News>} never rejects
   */
  async function newsOf(url, page, mode) {
    try {
      // A redirected answer may not stand in for a navigation, so redirects are not followed.
      const request = new Request(url, { cache: mode, credentials: 'same-origin', redirect: 'manual' });
      const response = await fetch(request);
      if (response.status === 404 || response.status === 410) return { kind: 'gone', response };
      const html = (response.headers.get('content-type') || '').toLowerCase().startsWith('text/html');
      // A host's catch-all page comes with 200 for everything: never take one for a file of ours.
      if (response.status !== 200 || response.redirected || html !== page) return { kind: 'unfit', response };
      const body = await response.arrayBuffer();
      if (!page) return { kind: 'sound', response, body };
      const text = new TextDecoder().decode(body);
      const ours = text.includes('data-mark="' + PLAN.mark + '"');
      return { kind: ours ? 'sound' : 'unfit', response: copyOf(response, body), body, text };
    } catch (error) {
      return { kind: 'silent', error };
    }
  }

  /**
   * A fresh answer with the same headers (the page's policy among them) around a body already decoded.
   * @param {Response} response
   * @param {ArrayBuffer | string} body
   */
  function copyOf(response, body) {
    const headers = new Headers(response.headers);
    headers.delete('content-encoding');
    headers.delete('content-length');
    return new Response(body, { status: 200, headers });
  }

  /**
   * The shared files that a page needs, and whether it cannot do without.
   * What the page names must be there. What the plan's own list has (pictures named only in the style
   * sheet) is fetched too, but a later release may have dropped it.
   * @param {string} text
   * @returns {Map<string, boolean>} address -> must be there
   */
  function assetsOf(text) {
    const needs = new Map();
    text.replace(MENTION, (whole, digest, name) => {
      for (const asset of PLAN.assets) {
        const url = new URL(asset.replace(/^.*\/a\/[0-9a-f]+\//, digest + '/'), ASSETS).href;
        if (!needs.has(url)) needs.set(url, false);
      }
      needs.set(new URL(digest + '/' + name, ASSETS).href, true);
      return whole;
    });
    return needs;
  }

  /**
   * Fetches shared files.
   * @param {Map<string, boolean>} needs
   * @returns {Promise<[string, Response][]>} rejects if one that must be there is not
   */
  async function assetCopies(needs) {
    /** @type {[string, Response][]} */
    const copies = [];
    await Promise.all(Array.from(needs, async ([url, must]) => {
      const news = await newsOf(url, false, 'reload');
      if (news.kind === 'gone' && !must) return;
      copies.push([url, soundCopy(news, url)]);
    }));
    return copies;
  }

  /**
   * @param {News} news
   * @param {string} name for the error; never the plan's full address, which is a secret
   */
  function soundCopy(news, name) {
    if (news.kind !== 'sound' || !news.response || !news.body) throw new Error(news.kind + ': ' + name);
    return copyOf(news.response, news.body);
  }

  /** Keeps the whole plan, or nothing. Everything is read and checked before anything is written. */
  async function precache() {
    /** @type {[string, Response][]} */
    const copies = [];
    const needs = new Map();
    for (const asset of PLAN.assets) needs.set(at(asset), true);
    await Promise.all(PLAN.pages.concat(PLAN.files).map(async (name) => {
      const news = await newsOf(at(name), isPage(name), 'reload');
      copies.push([at(name), soundCopy(news, name)]);
      // A plan is replaced file by file, the worker last: a page may already name newer shared files.
      if (news.text) assetsOf(news.text).forEach((must, url) => needs.set(url, must || needs.get(url)));
    }));
    const all = copies.concat(await assetCopies(needs));
    const had = await caches.has(CACHE);
    try {
      const cache = await caches.open(CACHE);
      await Promise.all(all.map(([url, copy]) => cache.put(url, copy)));
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
   * Writes a sound answer through to the cache.
   * @param {string} name
   * @param {number} ticket tells a late answer to an older question from a newer one
   * @param {News} news
   * @returns {Promise<boolean>} whether what is kept has changed
   */
  async function keep(name, ticket, news) {
    const old = await keptCopy(at(name));
    const was = old && isPage(name) ? await old.text() : '';
    try {
      return await keepOne(name, ticket, news);
    } finally {
      const another = was && news.text && issueOf(was) !== issueOf(news.text);
      if (another && newest[name] === ticket) await renewAll(issueOf(news.text || ''));
    }
  }

  /**
   * Keeps one answer, a page only together with the shared files it needs.
   * @param {string} name
   * @param {number} ticket
   * @param {News} news
   * @returns {Promise<boolean>} whether what is kept has changed
   */
  async function keepOne(name, ticket, news) {
    if (wiped || newest[name] > ticket || !(await caches.has(CACHE))) return false;
    newest[name] = ticket;
    const cache = await caches.open(CACHE);
    if (news.text !== undefined) {
      const old = await cache.match(at(name));
      if (old && (await old.text()) === news.text) return false;
      const needs = assetsOf(news.text);
      for (const had of await cache.keys()) needs.delete(had.url);
      for (const [url, copy] of await assetCopies(needs)) await cache.put(url, copy);
    }
    if (newest[name] > ticket) return false;
    await cache.put(at(name), soundCopy(news, name));
    if (wiped) await caches.delete(CACHE);
    return true;
  }

  /**
   * What a page says of itself: which version of the plan it is, or what has become of the plan.
   * Pages that differ only otherwise are two editions of one version.
   * @param {string} text
   */
  function issueOf(text) {
    return (text.match(/"(?:code|version|what)":[^,}]*/g) || []).join();
  }

  /**
   * Another version has been seen in one language: the others and the files are of it too. What cannot be had of it
   * may not pass for the plan: an old page is marked, and where there is no room even for that, it goes.
   * @param {string} issue
   */
  async function renewAll(issue) {
    if (wiped || !(await caches.has(CACHE))) return;
    const cache = await caches.open(CACHE);
    await Promise.all(PLAN.pages.concat(PLAN.files).map(async (name) => {
      const kept = await cache.match(at(name));
      if (!kept || (isPage(name) && issueOf(await kept.text()) === issue)) return;
      const ticket = ++tickets;
      const news = await newsOf(at(name), isPage(name), 'no-store');
      try {
        if (news.kind !== 'sound') throw news.error;
        await keepOne(name, ticket, news);
      } catch (error) {
        await retire(cache, name);
      }
    }));
  }

  /** @param {Cache} cache @param {string} name */
  async function retire(cache, name) {
    const kept = await cache.match(at(name));
    try {
      if (!kept || !isPage(name)) throw new Error('nothing to mark');
      await cache.put(at(name), await markedGone(kept));
    } catch (error) {
      await cache.delete(at(name));
    }
  }

  /**
   * @template T
   * @param {Promise<T>} promise
   * @returns {Promise<T | null>} null when it took longer than a reader should wait
   */
  function inTime(promise) {
    return Promise.race([promise, /** @type {Promise<null>} */ (new Promise((resolve) => {
      setTimeout(resolve, PATIENCE, null);
    }))]);
  }

  /**
   * Answers for a page or file of ours: from the network if that is whole, ours and in time, else what is kept.
   * @param {FetchEvent} event
   * @param {string} name
   */
  function answer(event, name) {
    const ticket = ++tickets;
    const arrival = newsOf(at(name), isPage(name), 'no-store');
    const keeping = arrival
      .then((news) => (news.kind === 'sound' ? keep(name, ticket, news) : false))
      .catch(() => false);
    let late = false;
    delete lateNews[name];

    async function answered() {
      const news = await inTime(arrival);
      late = !news;
      if (news && news.kind === 'sound') {
        await inTime(keeping);
        return copyOf(/** @type {Response} */ (news.response), /** @type {ArrayBuffer} */ (news.body));
      }
      const kept = await keptCopy(at(name));
      if (!kept) return whatCame(await arrival);
      return news && news.kind === 'gone' && isPage(name) ? markedGone(kept) : kept;
    }

    async function tellIfLate() {
      const changed = await keeping;
      const news = await arrival;
      if (!late || !isPage(name)) return;
      if (changed) await tell(name, 'changed');
      else if (news.kind === 'gone') await tell(name, 'gone');
    }

    event.respondWith(answered());
    event.waitUntil(tellIfLate());
  }

  /** @param {News} news */
  function whatCame(news) {
    if (!news.response) throw news.error;
    return news.kind === 'sound' ? soundCopy(news, '') : news.response;
  }

  /** @param {Response} kept */
  async function markedGone(kept) {
    return copyOf(kept, (await kept.text()).replace('<html', '<html data-gone'));
  }

  /**
   * Tells the open pages of this plan that what they show came from the cache and has been overtaken.
   * @param {string} name
   * @param {string} type
   */
  async function tell(name, type) {
    lateNews[name] = type; // for a page whose script has not started yet; it asks with "hello"
    for (const client of await worker.clients.matchAll({ type: 'window' })) {
      client.postMessage({ type, page: name });
    }
  }

  /** @param {FetchEvent} event */
  function answerAsset(event) {
    const bare = event.request.url.replace(/[?#].*$/, '');
    event.respondWith(keptCopy(bare).then((kept) => kept || fetch(event.request)));
  }

  /** @param {string} [except] */
  async function deleteOwnCaches(except) {
    const names = (await caches.keys()).filter((name) => name.startsWith(PREFIX) && name !== except);
    await Promise.all(names.map((name) => caches.delete(name)));
  }

  async function wipe() {
    wiped = true;
    await deleteOwnCaches();
    await worker.registration.unregister();
  }

  worker.addEventListener('install', (event) => {
    event.waitUntil(precache().then(() => worker.skipWaiting()));
  });

  worker.addEventListener('activate', (event) => {
    event.waitUntil(deleteOwnCaches(CACHE).then(() => worker.clients.claim()));
  });

  worker.addEventListener('fetch', (event) => {
    const url = new URL(event.request.url);
    if (event.request.method !== 'GET' || url.origin !== FOLDER.origin) return;
    const name = nameOf(url);
    if (name !== null) answer(event, name);
    else if (url.href.startsWith(ASSETS)) answerAsset(event);
  });

  worker.addEventListener('message', (event) => {
    const message = event.data || {};
    /** @param {object} reply */
    const reply = (reply) => event.ports[0] && event.ports[0].postMessage(reply);
    if (message.type === 'wipe') {
      event.waitUntil(wipe().then(() => reply({ wiped: true }), () => reply({ wiped: false })));
    } else if (message.type === 'save' && !wiped) {
      event.waitUntil(precache().then(() => reply({ saved: true }), () => reply({ saved: false })));
    } else if (message.type === 'hello' && lateNews[message.page] && event.source) {
      event.source.postMessage({ type: lateNews[message.page], page: message.page });
    }
  });
})();
