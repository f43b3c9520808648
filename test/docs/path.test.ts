import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { PROJECT } from './command-blocks.js';

const page = (name: string) => readFileSync(`${PROJECT}${name}`, 'utf8');
const words = (text: string) => text.split(/\s+/).filter((word) => /[\p{L}\d]/u.test(word)).length;

describe('the path of a first-time user', () => {
  it('has at most 1,500 words up to the first own figure', () => {
    const [readme = '', bench, run] = [
      'README.md',
      'docs/guide/first-bench.md',
      'docs/guide/first-run.md',
    ].map(page);
    const [before] = readme.split('\n## Read on');
    expect(readme).toContain('\n## Read on');
    expect(words(`${before} ${bench} ${run}`)).toBeLessThanOrEqual(1500);
  });

  it('begins with a README of at most 150 lines', () =>
    expect(page('README.md').split('\n').length).toBeLessThanOrEqual(150));

  it.each(readdirSync(`${PROJECT}docs/guide`).filter((name) => name !== 'README.md'))(
    '%s ends with what to do next',
    (name) =>
      expect(page(`docs/guide/${name}`).trimEnd().split('\n\n').at(-1)).toMatch(/^\*\*Next:\*\* .*\[/),
  );
});
