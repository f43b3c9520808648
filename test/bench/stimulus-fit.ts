import { gateAt, gateOf } from '../../src/signal/envelope.js';
import type { Line, Stimulus } from '../../src/signal/stimulus.js';

/**
 * Fits what came back by what was played: each line under its envelope, and the same a quarter of a cycle later, and a constant,
 * by least squares, so that a device may change gain and phase of each line. A lost or repeated sample, a click, a
 * smeared burst and sound in a gap remain.
 *
 * @param from source frame of the first sample
 * @returns peak of the stimulus as it came back, and the largest sample that the fit does not explain
 */
export function worstMisfit(
  samples: Float64Array,
  of: Stimulus,
  from: number,
): { readonly peak: number; readonly misfit: number } {
  const gate = gateOf(of.envelope, of.rate_Hz);
  const levels = samples.map((_, i) => (gate ? gateAt(gate, from + i) : 1));
  const column = ({ tone }: Line, wave: (angle: number) => number) =>
    levels.map(
      (level, i) => level * wave((2 * Math.PI * ((tone.cycles * (from + i)) % tone.frames)) / tone.frames),
    );
  const columns = [
    ...of.lines.flatMap((line) => [column(line, Math.sin), column(line, Math.cos)]),
    new Float64Array(samples.length).fill(1),
  ];
  const weights = solve(
    columns.map((one) => columns.map((other) => dot(one, other))),
    columns.map((one) => dot(one, samples)),
  );
  const misfits = samples.map((sample, n) =>
    Math.abs(columns.reduce((left, values, i) => left - weights[i]! * values[n]!, sample)),
  );
  const peak = of.lines.reduce((sum, _, i) => sum + Math.hypot(weights[2 * i]!, weights[2 * i + 1]!), 0);
  return { peak, misfit: misfits.reduce((most, misfit) => Math.max(most, misfit), 0) };
}

const dot = (a: Float64Array, b: Float64Array) => a.reduce((sum, x, i) => sum + x * b[i]!, 0);

/** Gauss-Jordan elimination of a few normal equations, whose diagonal is never small. */
function solve(matrix: number[][], right: readonly number[]): number[] {
  const rows = matrix.map((row, i) => [...row, right[i]!]);
  rows.forEach((pivot, i) => {
    const scale = pivot[i]!;
    pivot.forEach((value, k) => {
      pivot[k] = value / scale;
    });
    for (const row of rows) {
      const factor = row === pivot ? 0 : row[i]!;
      row.forEach((value, k) => {
        row[k] = value - factor * pivot[k]!;
      });
    }
  });
  return rows.map((row) => row.at(-1)!);
}
