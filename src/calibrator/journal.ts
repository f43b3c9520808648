import { closeSync, existsSync, fsyncSync, lstatSync, rmSync, writeFileSync } from 'node:fs';
import { dirname } from 'node:path';
import { NoRegularFile, openRegular, readRegular } from '../files/open-regular.js';
import { syncFolder } from '../files/sync-folder.js';
import { NotKept } from './calibration-errors.js';
import type { Meter, MeterQuestion } from './meter.js';

/** An answer that was typed, as it stands on one line of a journal. */
interface Entry {
  readonly question: MeterQuestion;
  readonly text: string;
  readonly answer: number;
  /** ISO 8601. */
  readonly at: string;
}

interface Withdrawal {
  /** Key of the question whose answers no longer count. */
  readonly withdrawn: string;
}

/** What lies in a journal that an earlier session left. */
export interface EarlierJournal {
  readonly answers: number;
  /** When the last of them was typed. */
  readonly last: Date;
  /** `fresh`: of this calibration and young enough; `old`: more than a day; `other`: of another bench file, channel or level. */
  readonly state: 'fresh' | 'old' | 'other';
}

/** Far above the answers of a calibration. */
const MOST_BYTES = 2 ** 22;
const OLD_ms = 24 * 3600 * 1000;

/**
 * Answers typed at the bench, one JSON line each, on disk before anything is done with them: a calibration that is
 * killed goes on from them. A last line that was cut off while it was written counts as never typed.
 */
export class Journal {
  private readonly known = new Map<string, number[]>();
  private readonly used = new Map<string, number>();
  /** Whether this session has written to the file; until then, what is of no use in it is overwritten. */
  private started = false;
  readonly found: EarlierJournal | null;

  /**
   * @param path of the journal's file; it need not exist
   * @param subject says exactly what is calibrated on which bench, so that answers never go to another question
   * @throws NotKept when something other than a file stands there, or one that cannot be read
   */
  constructor(
    readonly path: string,
    private readonly subject: string,
    private readonly now: () => Date = () => new Date(),
  ) {
    this.found = this.load();
    if (this.found?.state !== 'fresh') this.known.clear();
  }

  /** Forgets all that was found. */
  discard(): void {
    this.known.clear();
    rmSync(this.path, { force: true });
  }

  /** A meter whose answers are kept: known ones are given without asking. */
  keep(meter: Meter, tell: (text: string) => void): Meter {
    return {
      read: async (question, text) => {
        const key = keyOf(question, text);
        const index = this.used.get(key) ?? 0;
        this.used.set(key, index + 1);
        const known = this.known.get(key)?.[index];
        if (known !== undefined) {
          tell(`${text} ${known} (typed before)`);
          return known;
        }
        const answer = await meter.read(question, text);
        this.append({ question, text, answer, at: this.now().toISOString() });
        return answer;
      },
      confirm: (text) => meter.confirm(text),
      withdraw: async (question, text) => this.append({ withdrawn: keyOf(question, text) }),
    };
  }

  private load(): EarlierJournal | null {
    const lines = this.lines();
    if (lines === null) return null;
    const head = lines.shift() as { subject?: unknown } | null;
    let last = 0;
    for (const line of lines as ((Partial<Entry> & Partial<Withdrawal>) | null)[]) {
      if (typeof line?.withdrawn === 'string') this.known.delete(line.withdrawn);
      const typed_ms = Date.parse(String(line?.at));
      if (!line?.question || typeof line.text !== 'string') continue;
      // A line that somebody spoilt counts as never typed.
      if (!Number.isFinite(line.answer) || !Number.isFinite(typed_ms)) continue;
      const key = keyOf(line.question, line.text);
      this.known.set(key, [...(this.known.get(key) ?? []), line.answer!]);
      last = Math.max(last, typed_ms);
    }
    const answers = [...this.known.values()].flat().length;
    if (answers === 0) return null;
    const age_ms = this.now().getTime() - last;
    const state = head?.subject !== this.subject ? 'other' : age_ms >= 0 && age_ms < OLD_ms ? 'fresh' : 'old';
    return { answers, last: new Date(last), state };
  }

  /** What lies there, line by line; null when nothing does. */
  private lines(): unknown[] | null {
    try {
      if (!lstatSync(this.path, { throwIfNoEntry: false })) return null;
      return readRegular(this.path, MOST_BYTES).toString().split('\n').map(parsed);
    } catch (error) {
      const none = error instanceof NoRegularFile;
      throw new NotKept(this.path, none ? new Error('a folder, a pipe or a device, not a file') : error);
    }
  }

  /** @throws NotKept */
  private append(line: Entry | Withdrawal): void {
    try {
      this.write(JSON.stringify(line));
    } catch (error) {
      throw new NotKept(this.path, error);
    }
  }

  private write(line: string): void {
    const afresh = this.known.size === 0 && !this.started;
    const text = existsSync(this.path) && !afresh ? readRegular(this.path, MOST_BYTES).toString() : '';
    const file = openRegular(this.path, afresh ? 'w+' : 'a');
    this.started = true;
    try {
      const head = text === '' ? `${JSON.stringify({ subject: this.subject })}\n` : '';
      const mended = text === '' || text.endsWith('\n') ? '' : '\n';
      writeFileSync(file, `${head}${mended}${line}\n`);
      fsyncSync(file);
    } finally {
      closeSync(file);
    }
    if (text === '') syncFolder(dirname(this.path));
  }
}

function keyOf(question: MeterQuestion, text: string): string {
  return JSON.stringify([question, text]);
}

/** The value of a line of JSON; null where it was cut off. */
function parsed(line: string): unknown {
  try {
    return JSON.parse(line);
  } catch {
    return null;
  }
}
