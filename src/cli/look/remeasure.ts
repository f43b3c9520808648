import { textTable } from '../../document/text/text-table.js';
import { wrapText } from '../../document/text/wrap-text.js';
import { asTold, inputError } from '../../errors/error-table.js';
import { isReal, type ReadingChange, ROUNDING, readingChanges } from '../../record/reading-changes.js';
import type { Reading, RunRecord } from '../../record/run-record.js';
import { type KeptPoint, remeasurePoint } from '../../runner/capture/remeasure.js';
import { decodeWav } from '../../signal/decode-wav.js';
import type { RunStore, StoredSettling } from '../../store/contract/run-store.js';
import { storedBench } from '../run/stored-bench.js';
import { ownVersion } from '../terminal/own-version.js';
import type { Terminal } from '../terminal/terminal.js';
import { inStore, runNumber } from './asked-runs.js';

/** A run kept no samples that could be read again. */
export const NoCaptures = inputError('NO_CAPTURES', asTold);

/** What reading a run again has shown. */
interface Remeasured {
  readonly readings: number;
  readonly withoutCapture: number;
  readonly changes: readonly ReadingChange[];
}

/** `ohmest show --remeasure`: the readings once more from the stored samples, and what changed. Nothing is stored. */
export async function remeasure(
  terminal: Terminal,
  typed: string,
  options: { readonly db: string; readonly json?: boolean },
): Promise<number> {
  const run = runNumber(typed);
  return inStore(options.db, async (store) => {
    const record = await store.run(run);
    const found = await readAgain(store, record);
    if (options.json) terminal.out(JSON.stringify(remeasureDocument(record, found), null, 2));
    else terminal.out(remeasureText(record, found, terminal.width));
    return 0;
  });
}

async function readAgain(store: RunStore, record: RunRecord): Promise<Remeasured> {
  const captures = await store.captures(record.run);
  if (captures.length === 0)
    throw new NoCaptures({
      what: `no captures were kept of run ${record.run}, so nothing can be recomputed`,
      mend: '`ohmest run --captures` keeps them; a bundle carries them when it was packed with --captures',
    });
  const setup = storedBench(record);
  const readings = new Map(record.readings.map((one) => [`${one.point}/${one.channel}`, one]));
  const settlings = await settlingsOf(store, record);
  const changes: ReadingChange[] = [];
  let count = 0;
  for (const { point, channels } of captures) {
    const wav = decodeWav(await store.capture(record.run, point), `capture of point ${point}`);
    const kept: KeptPoint = {
      point: record.points.find(({ number }) => number === point)!,
      rate_Hz: wav.rate_Hz,
      channels: channels.map((channel, i) => ({
        reading: readings.get(`${point}/${channel}`)!,
        settling: settlings.get(`${point}/${channel}`) ?? null,
        samples: wav.channels[i]!,
      })),
    };
    const again = await remeasurePoint(setup, kept);
    again.forEach((reading, i) => {
      changes.push(...readingChanges(kept.channels[i]!.reading, reading));
    });
    count += again.length;
  }
  return { readings: count, withoutCapture: record.readings.length - count, changes };
}

async function settlingsOf(store: RunStore, { run, points }: RunRecord) {
  const steps = [...new Set(points.map(({ step }) => step))];
  const all: StoredSettling[] = [];
  for (const step of steps) all.push(...(await store.settlings(run, step)));
  return new Map(all.map(({ point, channel, settling }) => [`${point}/${channel}`, settling] as const));
}

/** What a capture does not tell, so that it cannot change. */
const TAKEN_OVER =
  'the measuring band, the warmth of the loads, the level played, the current shunts, the drawn spectra';

const placeKey = ({ point, channel }: Pick<Reading, 'point' | 'channel'>) => `${point}/${channel}`;

/** The largest change of each quantity, those that cannot be given as a share first. */
function largest(changes: readonly ReadingChange[]): ReadingChange[] {
  const most = new Map<string, ReadingChange>();
  const size = ({ relative }: ReadingChange) => relative ?? Number.POSITIVE_INFINITY;
  for (const change of changes) {
    const before = most.get(change.quantity);
    if (!before || size(change) > size(before)) most.set(change.quantity, change);
  }
  return [...most.values()].sort((a, b) => size(b) - size(a));
}

function remeasureDocument({ run, version }: RunRecord, found: Remeasured): object {
  const real = found.changes.filter(isReal);
  const changed = new Set(real.map(placeKey)).size;
  return {
    run,
    made_with: version,
    read_with: ownVersion(),
    readings: found.readings,
    unchanged: found.readings - changed,
    changed,
    without_capture: found.withoutCapture,
    tolerance: ROUNDING,
    largest: largest(found.changes),
    changes: real,
    taken_over: TAKEN_OVER,
  };
}

const MOST_ROWS = 40;

function remeasureText({ run, version }: RunRecord, found: Remeasured, width: number): string {
  const real = found.changes.filter(isReal);
  const changed = new Set(real.map(placeKey)).size;
  const head = [
    `Run ${run}, made with ohmest ${version}, read again by ohmest ${ownVersion()} from its captures`,
    `${found.readings - changed} of ${found.readings} readings are what they were, to ${ROUNDING} of each figure; ${changed} changed`,
    ...(found.withoutCapture > 0
      ? [`${found.withoutCapture} readings have no capture and were not read again`]
      : []),
    `Taken as they were: ${TAKEN_OVER}`,
  ]
    .map((line) => wrapText(line, width))
    .join('\n');
  if (real.length === 0) return head;
  const rows = (changes: readonly ReadingChange[]) => changes.map(row);
  const columns = ['quantity', 'point', 'channel', 'was', 'is', 'change'];
  const more = real.length > MOST_ROWS ? [`… and ${real.length - MOST_ROWS} more (--json lists all)`] : [];
  return [
    head,
    ['Largest change of each quantity', textTable(columns, rows(largest(real)), [1, 2, 3, 4, 5], width)].join(
      '\n',
    ),
    ['All changes', textTable(columns, rows(real.slice(0, MOST_ROWS)), [1, 2, 3, 4, 5], width), ...more].join(
      '\n',
    ),
  ].join('\n\n');
}

function row({ quantity, point, channel, before, after, relative }: ReadingChange): string[] {
  const share = relative === null ? '–' : `${(100 * relative).toPrecision(3)} %`;
  return [quantity, String(point), String(channel), valueWords(before), valueWords(after), share];
}

function valueWords(value: number | string | null): string {
  if (value === null) return '–';
  return typeof value === 'string' ? value : String(Number(value.toPrecision(9)));
}
