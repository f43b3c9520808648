import type { PlacedFigure } from '../../../src/document/comparison/common-parts.js';
import type { RunFigure } from '../../../src/document/comparison/run-figure.js';
import type { Budget } from '../../../src/measure/budget.js';

/** What a run rests on, for a test that varies it: the bench file by its hash, the records by id and hash. */
export interface Papers {
  readonly bench?: string;
  readonly records?: Readonly<Record<string, string>>;
}

/** A power at 0.1 % THD+N of channel 1 at 1 kHz into 8 ohm. */
export function powerFigure(value: number | null, changes: Partial<RunFigure> = {}): RunFigure {
  const { kind = 'power-at-thdn', threshold_percent = 0.1 } = changes;
  return {
    what: `${kind} ${threshold_percent}`,
    held: kind.startsWith('band-') || kind.startsWith('hold-'),
    run: 1,
    kind: 'power-at-thdn',
    unit: 'W',
    value,
    uncertainty: null,
    budget: null,
    step: 'climb-1k',
    channel: 1,
    driven: [1],
    load_ohm: 8,
    mains_V: null,
    threshold_percent: 0.1,
    frequency_Hz: 1000,
    band_Hz: [1000, 1000],
    measured_Hz: [20, 20_000],
    note: '',
    ...changes,
  } as RunFigure;
}

/** A figure with what it rests on. */
export function placed(figure: RunFigure, { bench = 'bench-1', records = {} }: Papers = {}): PlacedFigure {
  return {
    record: {
      bench: { name: 'bench', kind: 'audio', rate_Hz: 48_000, text: '', sha256: bench },
      calibration: Object.entries(records).map(([id, sha256]) => ({
        id,
        kind: id.split('-')[0]!,
        text: '',
        sha256,
      })),
    },
    figure,
  };
}

/** A power with the budget that it was given. */
export const budgeted = (run: number, budget: Budget, papers: Papers): PlacedFigure =>
  placed(powerFigure(budget.value, { run, uncertainty: budget.expanded, budget }), papers);
