import type { Component } from '../../measure/budget.js';
import type { RunRecord } from '../../record/run-record.js';
import type { RunFigure } from './figures-of-run.js';

/** A figure with the run that it comes from: what its uncertainty rests on stands there. */
export interface PlacedFigure {
  readonly record: Pick<RunRecord, 'bench' | 'calibration'>;
  readonly figure: RunFigure;
}

/** Two components of two budgets that have the very same cause. */
export interface CommonPart {
  readonly one: Component;
  readonly other: Component;
}

/** The components of two budgets, sorted by whether one cause moves both figures. */
export interface SortedParts {
  readonly common: readonly CommonPart[];
  readonly one: readonly Component[];
  readonly other: readonly Component[];
}

/** Where a calibration is written, as the budgets name it. */
const FROM_RECORD = /\(record (.+)\)$/;
const FROM_BENCH = /\(bench file\)$/;
/**
 * What is one and the same error in every run on the same part of a bench: the calibrated value itself, and by how much
 * the load's own warming is computed wrong. Limits of linearity and stability, the room, the floor and whatever is named
 * after a channel may err one way in one run and the other way in the next, so that they count in both.
 */
const LASTING = /: (?:calibration|meter .+) \(|: flat within .+ \(/;
const WARMING = /^load .+: correction for its warmth$/;
/** The response errs by itself at each frequency. */
const RESPONSE = /^response /;
/** Frequencies of one nominal tone lie closer than this, relatively. */
const SAME_TONE = 0.01;

/**
 * Sorts the components of two budgets. A component of either is common when it names the same source and that is known
 * to be the same thing: the same calibration record to the byte, or a statement of the same bench file to the byte.
 */
export function sortParts(one: PlacedFigure, other: PlacedFigure): SortedParts {
  const common: CommonPart[] = [];
  const left = [...componentsOf(other)];
  const own: Component[] = [];
  for (const component of componentsOf(one)) {
    const at = isCommon(component.source, one, other)
      ? left.findIndex(({ source }) => source === component.source)
      : -1;
    if (at < 0) own.push(component);
    else common.push({ one: component, other: left.splice(at, 1)[0]! });
  }
  return { common, one: own, other: left };
}

/** The components of a figure's own budget: that of its value comes first. */
const componentsOf = ({ figure }: PlacedFigure): readonly Component[] =>
  figure.finding.budgets[0]?.components ?? [];

function isCommon(source: string, one: PlacedFigure, other: PlacedFigure): boolean {
  if (RESPONSE.test(source) && !sameTone(one.figure.frequency_Hz, other.figure.frequency_Hz)) return false;
  if (WARMING.test(source)) return sameLoad(one, other);
  if (!LASTING.test(source)) return false;
  const record = FROM_RECORD.exec(source)?.[1];
  if (record === undefined) return FROM_BENCH.test(source) && sameBench(one, other);
  const hash = hashOf(one, record);
  return hash !== undefined && hash === hashOf(other, record);
}

const sameTone = (a_Hz: number | null, b_Hz: number | null): boolean =>
  a_Hz !== null && b_Hz !== null && Math.abs(a_Hz / b_Hz - 1) < SAME_TONE;

const sameBench = (one: PlacedFigure, other: PlacedFigure): boolean =>
  one.record.bench.sha256 === other.record.bench.sha256;

/** How a load warms stands in its record or in the bench file: both must be the same. */
const sameLoad = (one: PlacedFigure, other: PlacedFigure): boolean =>
  sameBench(one, other) && loadRecords(one) === loadRecords(other);

const loadRecords = ({ record }: PlacedFigure): string =>
  record.calibration
    .flatMap(({ kind, sha256 }) => (kind === 'load' ? [sha256] : []))
    .sort()
    .join();

const hashOf = ({ record }: PlacedFigure, id: string): string | undefined =>
  record.calibration.find((one) => one.id === id)?.sha256;
