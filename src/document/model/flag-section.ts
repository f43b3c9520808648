import { FLAGS, type FlagCode } from '../../measure/flags.js';
import type { Reading, RunRecord } from '../../record/run-record.js';
import { formatQuantity } from '../../units/format.js';
import { spanned } from '../../units/listed.js';
import { frequencyWords } from '../../units/nominal-frequency.js';
import type { Section } from './block.js';
import { figures, section, table, text } from './make-blocks.js';
import { capital, channelWords } from './wording.js';

const TITLE = 'Flags: what to bear in mind with these figures';

/** What the readings warn about, in plain words, and where; nothing where nothing was read. */
export function flagSection(record: RunRecord): Section[] {
  if (record.readings.length === 0) return [];
  const places = flagPlaces(record);
  if (places.length === 0) return [section('flags', 'Flags', [text('No reading carries a flag.')])];
  const columns = ['Flag', 'Meaning', ...figures('Readings'), 'Where'];
  const rows = places.map(({ flag, words, readings, where }) => [
    flag,
    capital(words),
    String(readings),
    where,
  ]);
  return [section('flags', TITLE, [table(TITLE, columns, rows)])];
}

/** One flag of a run in plain words, and where it was raised. */
interface FlagPlace {
  readonly flag: FlagCode;
  readonly words: string;
  readonly readings: number;
  /** `band: 20 Hz to 80 Hz, channels 1 and 2`. */
  readonly where: string;
}

/** Every flag that some reading carries, in the order of the list of flags, with its place in each step. */
export function flagPlaces(record: RunRecord): FlagPlace[] {
  const climbs = new Set(
    record.points.filter((point) => point.stepKind === 'climb').map((point) => point.step),
  );
  const nominal = new Map(record.points.map((point) => [point.number, point.nominal_Hz]));
  return (Object.keys(FLAGS) as FlagCode[]).flatMap((flag) => {
    const flagged = record.readings.filter((reading) => reading.flags.includes(flag));
    if (flagged.length === 0) return [];
    const steps = [...new Set(flagged.map((reading) => reading.step))];
    const where = steps.map((step) =>
      placeOf(
        step,
        flagged.filter((reading) => reading.step === step),
        climbs.has(step),
        nominal,
      ),
    );
    return [{ flag, words: FLAGS[flag], readings: flagged.length, where: where.join('; ') }];
  });
}

function placeOf(
  step: string,
  flagged: readonly Reading[],
  climb: boolean,
  nominal: ReadonlyMap<number, number>,
): string {
  const values = flagged.map((reading) =>
    climb ? reading.power_W : (nominal.get(reading.point) ?? reading.frequency_Hz),
  );
  const words = climb ? (power_W: number) => formatQuantity(power_W, 'W', { figures: 3 }) : frequencyWords;
  const channels = [...new Set(flagged.map((reading) => reading.channel))].sort((a, b) => a - b);
  return `${step}: ${spanned(values, words)}, ${channelWords(channels)}`;
}
