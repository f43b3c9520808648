import { readFileSync } from 'node:fs';
import { beforeAll, describe, expect, it } from 'vitest';
import { bothSaid, COLUMNS, fingerprint, isRight, type Said, sayAll } from './confusion.js';
import { RECIPES } from './population.js';

const DOCS = readFileSync(new URL('../../../docs/causes.md', import.meta.url), 'utf8');
/** Units of each kind that are asked about here; the page holds the first of many more. */
const COUNT = 2;

/** Cells of a row of the page's tables that begins with `first`, in the section under `heading`. */
function cells(heading: string, first: string): string[] {
  const section = DOCS.slice(DOCS.indexOf(heading));
  const row = section.split('\n').find((line) => line.startsWith(`| ${first} |`));
  return (row ?? '').split('|').map((cell) => cell.trim());
}

describe('the page on causes', () => {
  it('was made from this population', () => {
    expect(DOCS).toMatch(/Seed 11, 20 units of each kind, population [0-9a-f]{16}\./);
    expect(DOCS).toContain(`population ${fingerprint()}.`);
  });

  it('shows at least nine of ten right for every single cause, and for none', () => {
    for (const [recipe, { truth }] of Object.entries(RECIPES)) {
      if (truth.length > 1) continue;
      const right = cells('### With the captures that the method asks for', recipe).at(-3)!;
      const [found, of] = right.split(' of ').map(Number);
      expect(found! / of!, recipe).toBeGreaterThanOrEqual(0.9);
    }
  });

  it('shows stated confidence within 0.15 of how often it was right, in every bin that holds enough to tell', () => {
    const bins = ['0 to 0.6', '0.6 to 0.85', '0.85 to 1'].map((bin) =>
      cells('### Confidence', bin).slice(2, 5).map(Number),
    );
    for (const [count, stated, right] of bins) {
      // A hit rate from n units is known to about 0.5 / sqrt(n).
      expect(Math.abs(right! - stated!)).toBeLessThan(Math.max(0.15, 1 / Math.sqrt(count!)));
    }
    expect(bins[1]![0]).toBeGreaterThan(20);
    expect(bins[2]![0]).toBeGreaterThan(100);
  });
});

describe('the first units of the population', () => {
  let said: readonly Said[] = [];
  beforeAll(async () => {
    said = await sayAll(COUNT, 11);
  }, 60_000);

  it('are told as the page has it', () => {
    for (const recipe of Object.keys(RECIPES)) {
      const written = cells('### Unit by unit', recipe)[2]!.split(', ').slice(0, COUNT);
      const now = said.filter((one) => one.recipe === recipe).map(({ causes }) => COLUMNS[causes[0]!.cause]);
      expect(now, recipe).toEqual(written);
    }
  });

  it('are told right, with both causes where there are two', () => {
    for (const one of said) {
      expect(isRight(one), one.recipe).toBe(true);
      expect(bothSaid(one), one.recipe).toBe(true);
    }
  });

  it('never have a cause above 0.5 when nothing is wrong', () => {
    const healthy = said.filter(({ truth }) => truth.length === 0);
    expect(healthy).toHaveLength(COUNT);
    for (const { causes } of healthy) {
      for (const { cause, confidence } of causes) {
        if (cause !== 'not-clear') expect(confidence).toBeLessThan(0.5);
      }
    }
  });

  it('give every cause evidence in words', () => {
    for (const { causes } of said)
      for (const { evidence } of causes) expect(evidence.length).toBeGreaterThan(0);
  });
});
