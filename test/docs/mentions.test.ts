import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { blockNote, PROJECT } from './command-blocks.js';
import { expectKnown } from './known-commands.js';

/** Every page of the project, relative to it. */
const PAGES = ['.', 'docs', 'docs/guide', 'benches', 'benches/twins', 'calibration', 'sequences', 'src/store']
  .flatMap((folder) =>
    readdirSync(join(PROJECT, folder))
      .filter((name) => name.endsWith('.md'))
      .map((name) => join(folder, name)),
  )
  .sort();
const text = (page: string) => readFileSync(join(PROJECT, page), 'utf8');

/** What a page sets as code: fenced, indented or between backticks. */
const codeOf = (page: string) =>
  [...text(page).matchAll(/```[\s\S]*?```|^ {4}.*$|`[^`\n]+`/gm)].map(([code]) => code).join('\n');

/** How a heading is linked to. */
const anchor = (heading: string) =>
  heading
    .toLowerCase()
    .replace(/[^\w\s-]/g, '')
    .trim()
    .replace(/\s/g, '-');

describe('the pages', () => {
  it('are found', () => expect(PAGES.length).toBeGreaterThan(15));

  it.each(PAGES)('%s names only commands and options that exist', (page) => expectKnown(codeOf(page)));

  it.each(PAGES)('%s names only npm scripts that exist', (page) => {
    const { scripts } = JSON.parse(readFileSync(join(PROJECT, 'package.json'), 'utf8'));
    for (const [, name] of text(page).matchAll(/npm run (?:--silent )?([a-z][\w:-]*)/g))
      expect(Object.keys(scripts)).toContain(name);
  });

  it.each(PAGES)('%s links to files and headings that exist', (page) => {
    for (const [, target] of text(page).matchAll(/\]\((?!https?:)([^)\s]+)\)/g)) {
      const [file, heading] = target!.split('#');
      const linked = file === '' ? page : join(dirname(page), file!);
      expect(existsSync(join(PROJECT, linked)), `${page} links to ${target}`).toBe(true);
      if (heading === undefined) continue;
      const headings = [...text(linked).matchAll(/^#+ (.*)$/gm)].map(([, words]) => anchor(words!));
      expect(headings, `${page} links to ${target}`).toContain(heading);
    }
  });
});

describe('a note on commands', () => {
  it('says what stands in, who answers and what is not tried', () => {
    expect(blockNote('a.yaml is benches/b.yaml; answered yes')).toEqual({
      standIns: [{ file: 'a.yaml', from: 'benches/b.yaml' }],
      answered: true,
      untilStopped: false,
      onlyLookedUp: null,
    });
    expect(blockNote('only looked up: takes a day').onlyLookedUp).toBe('takes a day');
  });

  it('is refused when it means nothing', () =>
    expect(() => blockNote('until stoped')).toThrow('"until stoped"'));
});
