import { expect, it } from 'vitest';
import { clippingUnit, FakeBench, type Through } from '../fake-bench.js';
import { benchOf, benchText, play } from '../run.js';

const unit = clippingUnit(1, 0.9);
const STEADY = `
name: Three levels
load: 8 ohm
driven: all
steps:
  - sweep: {id: band, level: 10 W, frequencies: [500 Hz, 1 kHz, 2 kHz]}
`;
const notesOf = async (through: Through) =>
  (await play(STEADY, benchOf(benchText(1)), new FakeBench(1, through)))
    .of('note')
    .filter(({ topic }) => topic === 'settling')
    .map(({ text }) => text);

it('a crackle between readings is told once for its step, and a steady unit has nothing to tell', async () => {
  expect(await notesOf(unit)).toEqual([]);
  let heard = 0;
  const crackling: Through = (samples, ...rest) => {
    heard += samples.length;
    const out = unit(samples, ...rest);
    // 30 ms at 48 kHz, about 2 s after the beginning.
    return heard > 96_000 && heard < 96_000 + 1440 + samples.length
      ? out.map((x, i) => x + (i % 7 ? 0 : 1e-3))
      : out;
  };
  const [note, ...more] = await notesOf(crackling);
  expect(more).toEqual([]);
  expect(note).toMatch(
    /^\d+ captures in this step: \d began later \(\d hal(f|ves) left out\), since the output had not settled/,
  );
});
