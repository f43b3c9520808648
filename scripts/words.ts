/**
 * Checks the texts that a person reads (in src/, pages, shipped YAML files) for phrases that are hard to understand, for
 * sentences that are too long, and for a second name of a term of the glossary.
 * Prints every finding; exit status 1 when there is one.
 */
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { EXCEPTIONS } from './words/exceptions.js';
import { missingQuantities, otherNames, termsOf } from './words/glossary.js';
import { markdownTexts, yamlTexts } from './words/page-texts.js';
import { foundPhrases } from './words/phrases.js';
import { longSentences } from './words/sentences.js';
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

/**
 * Where only phrases count: safety says what it must; what a campaign or a calibration has printed, and the notes that
 * shipped records with their seals quote, stay as they were printed.
 */
const ANY_LENGTH = [
  /^SAFETY\.md$|^src\/safety\//,
  /^docs\/(causes|detection|faults|fuzzing|safety-texts|speed|verdicts)\.md$|^calibration\/.*\/.*\.yaml$/,
  /^src\/calibrator\/calibrate-(attenuator|response)\.ts$|^src\/bundle\/readme\.ts$/,
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

const GLOSSARY = 'docs/glossary.md';
const terms = termsOf(readFileSync(join(root, GLOSSARY), 'utf8'));

const unused = new Set(EXCEPTIONS);
const faults: string[] = [];
for (const { file, line, text } of texts)
  for (const { phrase, instead } of foundPhrases(text)) {
    const exception = EXCEPTIONS.find((one) => one.file === file && one.phrase === phrase);
    if (exception) unused.delete(exception);
    else faults.push(`${file}:${line}: "${phrase}"; write: ${instead}`);
  }
for (const { file, line, text } of texts.filter(({ file }) => !ANY_LENGTH.some((one) => one.test(file))))
  for (const { sentence, words } of longSentences(text))
    faults.push(`${file}:${line}: ${words} words: ${sentence}`);
for (const { file, line, text } of texts.filter(({ file }) => file !== GLOSSARY))
  for (const { name, term } of otherNames(text, terms))
    faults.push(`${file}:${line}: "${name}"; the glossary says: ${term}`);
for (const name of missingQuantities(terms)) faults.push(`${GLOSSARY}: the quantity "${name}" is missing`);
for (const { file, phrase } of unused)
  faults.push(`${file}: the exception for "${phrase}" is no longer needed`);

for (const fault of faults) console.error(fault);
console.log(`words: ${faults.length === 0 ? `${texts.length} texts, no fault` : `${faults.length} faults`}`);
process.exitCode = faults.length === 0 ? 0 : 1;
