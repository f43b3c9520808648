import fc from 'fast-check';
import { type Ending, type Subject, Unsound } from './subject.js';

/** The longest that a reader may think about one case, seconds. */
export const LONGEST_S = 1;

/** What a campaign against one reader came to. */
export interface Tally {
  readonly name: string;
  readonly cases: number;
  readonly read: number;
  readonly refused: number;
  readonly slowest_s: number;
  readonly mean_s: number;
  /** The least case that breaks a promise, and which; null when none does. */
  readonly failure: string | null;
}

export interface CampaignOptions {
  readonly cases: number;
  readonly seed: number;
  /** Begins with this case, as a failure names it: `1234:0:2`. */
  readonly path?: string;
  /** Whether slow cases count as broken: tests that run beside it would share its process. */
  readonly timed: boolean;
  /** Milliseconds from any beginning. */
  readonly clock?: () => number;
  /** Told the number of each case before it begins. */
  readonly before?: (index: number) => void;
}

type Clock = () => number;

/** Processor time of this process: unlike that on the wall, it does not grow when a computer is busy elsewhere. */
function workDone_ms(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
}

async function once(
  subject: Subject,
  input: unknown,
  clock: Clock,
): Promise<{ seconds: number; value?: unknown; error?: unknown }> {
  const began = clock();
  const seconds = () => (clock() - began) / 1000;
  try {
    const value = await subject.read(input);
    return { seconds: seconds(), value };
  } catch (error) {
    return { seconds: seconds(), error: error ?? new Unsound('something empty was thrown') };
  }
}

/** The least of three times: tidying up after earlier cases is none of this one's work. */
async function fairTime(subject: Subject, input: unknown, first: number, clock: Clock): Promise<number> {
  if (first <= LONGEST_S) return first;
  const second = await once(subject, input, clock);
  const third = await once(subject, input, clock);
  return Math.min(first, second.seconds, third.seconds);
}

async function judge(
  subject: Subject,
  input: unknown,
  { timed, clock = workDone_ms }: CampaignOptions,
): Promise<{ ending: Ending; seconds: number }> {
  const { seconds, value, error } = await once(subject, input, clock);
  if (error === undefined) subject.checkValue(value, input);
  else subject.checkRefusal(error, input);
  const fair = timed ? await fairTime(subject, input, seconds, clock) : seconds;
  if (timed && fair > LONGEST_S) throw new Unsound(`it took ${fair.toFixed(2)} s`);
  return { ending: error === undefined ? 'read' : 'refused', seconds: fair };
}

/** Feeds `cases` cases to one reader; stops at the first that breaks a promise, and makes it as small as it will go. */
export async function campaign(subject: Subject, options: CampaignOptions): Promise<Tally> {
  const { cases, seed, path, before } = options;
  const endings = { read: 0, refused: 0 };
  let [index, slowest_s, total_s] = [0, 0, 0];
  const outcome = await fc.check(
    fc.asyncProperty(subject.cases, async (input) => {
      before?.(index++);
      const { ending, seconds } = await judge(subject, input, options);
      endings[ending]++;
      total_s += seconds;
      slowest_s = Math.max(slowest_s, seconds);
    }),
    {
      seed,
      numRuns: cases,
      ...(path === undefined ? {} : { path }),
      interruptAfterTimeLimit: 3 * 3600 * 1000,
    },
  );
  const done = endings.read + endings.refused;
  return {
    name: subject.name,
    cases: done,
    ...endings,
    slowest_s,
    mean_s: total_s / Math.max(1, done),
    failure: failureOf(outcome),
  };
}

function failureOf(outcome: fc.RunDetails<[unknown]>): string | null {
  if (outcome.interrupted) return 'it did not come to its end';
  if (!outcome.failed) return null;
  const shown = fc.stringify(outcome.counterexample?.[0]);
  const short = shown.length > 2000 ? `${shown.slice(0, 2000)}… (${shown.length} characters)` : shown;
  const cause = outcome.errorInstance as Error | null;
  return `--seed ${outcome.seed} --path ${outcome.counterexamplePath}\n${cause?.message ?? 'failed'}\ncase: ${short}`;
}
