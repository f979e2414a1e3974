/** What the page's scripts share. Each script adds its own part. */
interface DaybeforeScripts {
  [part: string]: any;
}

type OfflineState = "saving" | "saved" | "failed" | "impossible";

/** A step in the data block; times are epoch minutes. */
interface Step {
  id: string;
  key: string;
  kind: string;
  start: number;
  end?: number;
  allDay?: boolean;
  dose?: boolean;
  /** Of a drinking session only. */
  glasses: number;
  /** Put in by the page's script, from what stands on it. */
  when: string;
  title: string;
  /** Names of the questions that people ask at this step. */
  asked?: string[];
  /** Of a drinking session: its figures. */
  pace?: Session;
}

/** The figures of a drinking session; times are epoch minutes. */
interface Session {
  kind: string;
  start: number;
  glasses: number;
  ml: number;
  /** Millilitres of the last glass. */
  last: number;
  minutes: number;
  fastest: number;
  /** By when it must have ended: by the protocol's rules, and for the quiet time before leaving home. */
  by: number;
  quiet: number;
  /** Minutes from its start until its mixture stops keeping; 0: not stated. */
  keeps: number;
}

/** What the person counted of a session. */
interface Counted {
  /** Epoch minutes, one for each glass; 0: not known. */
  times: number[];
  /** From and until, in epoch minutes; until 0: it still goes on. */
  pauses: number[][];
  /** When it was begun, as answered; -1: not yet, 0: not answered. */
  began: number;
  done?: boolean;
  /** Whether there was a pause in any session of the plan. */
  eased?: boolean;
}

interface Said {
  say: string;
  next?: number;
  end?: number;
  by?: number;
  every?: number;
  /** Whether the next glass may be taken at this moment. */
  now?: boolean;
  /** Whether the session must have ended already. */
  over: boolean;
}

/** What says which line answers when. */
interface Lines {
  lines: string[][];
  bar: number;
  calls: number[][];
  words: any;
  emergency: string;
  offsets: number[][];
  times: Times;
}

/** The data block of a plan. */
interface Plan extends Lines {
  mark: string;
  code: string;
  lang: string;
  medicine: string;
  made: number;
  procedure: number;
  arrival: number;
  offsets: number[][];
  /** Names of the questions that people ask between two doses. */
  night: string[];
  plural: string;
  times: Times;
  steps: Step[];
  cues: number[][];
  /** The most of all drinks within an hour, in millilitres; 0: none is stated. */
  most: number;
  /** Whether a shorter pause between glasses is never proposed to this patient. */
  steady: boolean;
  look: LookTimes;
  /** Only of a page in a plan's place: what it is, and until when it says which line answers. */
  what?: string;
  until: number;
}

/** What was answered about what comes out; `at`: when, in epoch minutes, 0 by a clock in doubt. */
interface Looked {
  bottom?: string;
  bits?: string;
  colour?: string;
  nothing?: string;
  at?: number;
  [question: string]: any;
}

/** When what comes out means what, in epoch minutes; 0: the plan has no such moment. */
interface LookTimes {
  /** The step at which the protocol looks, or "". */
  step: string;
  dosed: number;
  counts: number;
  short: number;
  stop: number;
  by: number;
  over: number;
}

/** How the page's language writes days and times; Monday and January stand first. */
interface Times {
  onDay: string[];
  inNight: string[];
  weekdays: string[];
  months: string[];
  date: string;
  when: string;
  dateTime: string;
}

declare var daybefore: DaybeforeScripts;
