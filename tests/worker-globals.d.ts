/** The line that the build puts in front of sw.js. */
declare const PLAN: {
  /** First 12 hex digits of SHA-256(token). */
  mark: string;
  /** Changes whenever any byte of the plan, its assets or the worker changes; names the cache. */
  digest: string;
  /** Relative addresses of the pages; "./" is the first language. */
  pages: string[];
  /** Relative addresses of the plan's other files. */
  files: string[];
};
