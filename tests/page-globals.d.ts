/** What the page's scripts share. Each script adds its own part. */
interface DaybeforeScripts {
  offline: {
    start(options: OfflineOptions): void;
    wipe(): Promise<boolean>;
  };
  [part: string]: any;
}

type OfflineState = "saving" | "saved" | "failed" | "impossible";

interface OfflineOptions {
  /** First 12 hex digits of SHA-256(token). */
  mark: string;
  /** Addresses of style sheets and scripts that the page cannot do without. */
  assets?: string[];
  /** Keeps the page only where something of its plan is kept already. */
  onlyIfKept?: boolean;
  /** Told each time the state changes. */
  onState?: (state: OfflineState) => void;
  /** Told once when the unit's site no longer has this page. */
  onGone?: () => void;
  /** Told once when a newer page is kept and the reload has to wait. */
  onWaiting?: () => void;
  /** True while a reload would take something away from the reader. */
  busy?: () => boolean;
}

declare var daybefore: DaybeforeScripts;
