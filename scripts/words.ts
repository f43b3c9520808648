/**
 * Checks the texts that a person reads (in src/, pages, shipped YAML files) for phrases that are hard to understand.
 * Prints every finding; exit status 1 when there is one.
 */
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { EXCEPTIONS } from './words/exceptions.js';
import { markdownTexts, yamlTexts } from './words/page-texts.js';
import { foundPhrases } from './words/phrases.js';
import { sourceTexts } from './words/source-texts.js';
import type { Text } from './words/text.js';

const root = join(import.meta.dirname, '..');

/** What is read: files of one ending in some folders, or files by name. The change log names old words. */
const READ = [
  { ending: '.ts', in: ['src'], texts: sourceTexts },
  {
    ending: '.md',
    in: ['docs', 'benches', 'sequences', 'calibration', 'src', 'README.md', 'SAFETY.md'],
    texts: markdownTexts,
  },
  { ending: '.yaml', in: ['benches', 'sequences', 'calibration'], texts: yamlTexts },
];

function filesOf(place: string, ending: string): string[] {
  if (place.endsWith(ending)) return [place];
  return readdirSync(join(root, place), { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith(ending))
    .map((name) => join(place, name));
}

const texts: Text[] = READ.flatMap(({ ending, in: places, texts }) =>
  places
    .flatMap((place) => filesOf(place, ending))
    .sort()
    .flatMap((file) => texts(file, readFileSync(join(root, file), 'utf8'))),
);

const unused = new Set(EXCEPTIONS);
const faults: string[] = [];
for (const { file, line, text } of texts)
  for (const { phrase, instead } of foundPhrases(text)) {
    const exception = EXCEPTIONS.find((one) => one.file === file && one.phrase === phrase);
    if (exception) unused.delete(exception);
    else faults.push(`${file}:${line}: "${phrase}"; write: ${instead}`);
  }
for (const { file, phrase } of unused)
  faults.push(`${file}: the exception for "${phrase}" is no longer needed`);

for (const fault of faults) console.error(fault);
console.log(`words: ${faults.length === 0 ? `${texts.length} texts, no fault` : `${faults.length} faults`}`);
process.exitCode = faults.length === 0 ? 0 : 1;
