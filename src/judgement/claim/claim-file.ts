import { z } from 'zod';
import { DocumentError, type Fault } from '../../schema/document-error.js';
import { label, prose } from '../../schema/fields.js';
import { checkAgainst } from '../../schema/parse-yaml.js';
import { YamlDocument } from '../../schema/yaml-document.js';
import { quoted } from '../../units/parse.js';
import type { Claim, ClaimTerms } from './claim.js';
import { assembled } from './claim-draft.js';
import { listen } from './claim-listen.js';
import type { Statement, TextFault } from './claim-statement.js';
import { parseClaims } from './claim-text.js';

/** What a claim file holds: the claims of one unit, as its maker publishes them. */
export interface ClaimFile {
  readonly unit: string | null;
  /** Where they were published, in words. */
  readonly source: string | null;
  readonly claims: readonly Claim[];
}

/** A key of a claim: the terms that its value may state, and the value as a line of text would say it. */
interface Key {
  readonly states: readonly (keyof ClaimTerms)[];
  readonly inWords: (value: string) => string;
}

const asWritten = (...states: (keyof ClaimTerms)[]): Key => ({ states, inWords: (value) => value });
const KEYS = {
  power: asWritten('power_W', 'per', 'kind'),
  from: { states: ['from_W'], inWords: (value) => `${value} to rated power` },
  per: { states: ['per'], inWords: (value) => (value === 'channel' ? 'per channel' : value) },
  kind: { states: ['kind'], inWords: (value) => (value === 'maximum' ? 'maximum power' : value) },
  load: asWritten('load_ohm'),
  thd: { states: ['distortion_percent', 'distortion'], inWords: (value) => `${value} THD` },
  thdn: { states: ['distortion_percent', 'distortion'], inWords: (value) => `${value} THD+N` },
  distortion: asWritten('distortion_percent'),
  frequency: asWritten('frequency_Hz'),
  channels: { states: ['channels', 'per'], inWords: (value) => `x ${value}` },
  driven: { states: ['driven'], inWords: (value) => `${value} channels driven` },
  bridged: { states: ['bridged'], inWords: (value) => (value === 'true' ? 'bridged' : value) },
  mains: { states: ['supply'], inWords: (value) => `${value} mains` },
  supply: { states: ['supply'], inWords: (value) => `${value} supply` },
  duration: asWritten('duration_s'),
  burst: { states: ['burst_s'], inWords: (value) => `${value} burst` },
  standard: { states: ['standard'], inWords: (value) => `standard ${value}` },
} as const satisfies Record<string, Key>;
type KeyName = keyof typeof KEYS;
const NAMES = Object.keys(KEYS) as KeyName[];

/** Keys of which a claim has one. */
const RIVALS: readonly (readonly [what: string, keys: readonly KeyName[]])[] = [
  ['a claim has one distortion', ['thd', 'thdn', 'distortion']],
  ['a claim has one supply', ['mains', 'supply']],
];

const VALUE = z.union([z.string(), z.number(), z.literal(true)]);
const TERMS = z.strictObject({
  ...(Object.fromEntries(NAMES.map((name) => [name, VALUE.optional()])) as Record<
    KeyName,
    z.ZodOptional<typeof VALUE>
  >),
  power: VALUE,
});
type Written = z.output<typeof TERMS>;

const ABOUT = { unit: label().optional(), source: prose(1000).optional() };
const ONE = TERMS.extend(ABOUT);
const SEVERAL = z.strictObject({ ...ABOUT, claims: z.array(z.unknown()).min(1).max(50) });

/**
 * Reads a claim file: the keys of one claim, or `claims:` with a list of claims, each with keys of its own or as a
 * line of text. A value is read as the same words in a line are.
 *
 * @throws DocumentError listing every fault with line and column
 */
export function readClaims(text: string | Uint8Array, file: string): ClaimFile {
  const document = new YamlDocument(text, file);
  const data = document.data;
  const several = typeof data === 'object' && data !== null && Object.hasOwn(data, 'claims');
  const checked = several ? checkAgainst(document, data, SEVERAL) : checkAgainst(document, data, ONE);
  if ('faults' in checked) throw new DocumentError(file, checked.faults);
  const { unit = null, source = null } = checked.value;
  const faults: Fault[] = [];
  const claims =
    'claims' in checked.value
      ? checked.value.claims.flatMap((part, i) => listed(document, part, ['claims', i], faults))
      : [claimOf(document, checked.value, [], faults)];
  if (faults.length > 0) throw new DocumentError(file, faults);
  return { unit, source, claims };
}

function listed(
  document: YamlDocument,
  part: unknown,
  path: readonly PropertyKey[],
  faults: Fault[],
): Claim[] {
  if (typeof part === 'string') {
    try {
      return parseClaims(part);
    } catch (error) {
      if (!(error instanceof DocumentError)) throw error;
      for (const { column, what, mend } of error.faults)
        faults.push(document.fault(path, `character ${column}: ${what}`, mend));
      return [];
    }
  }
  const checked = checkAgainst(document, part, TERMS, path);
  if ('value' in checked) return [claimOf(document, checked.value, path, faults)];
  faults.push(...checked.faults);
  return [];
}

function claimOf(
  document: YamlDocument,
  written: Written,
  path: readonly PropertyKey[],
  faults: Fault[],
): Claim {
  let given = NAMES.filter((name) => written[name] !== undefined);
  for (const [what, keys] of RIVALS) {
    const found = keys.filter((key) => given.includes(key));
    if (found.length > 1) {
      given = given.filter((name) => !keys.includes(name));
      faults.push(
        document.fault([...path, found[1]!], `${found.join(' and ')}: ${what}`, 'keep one of them', true),
      );
    }
  }
  // Where in the file a statement stands is told by its key, whose number goes for its place.
  const wrong: TextFault[] = [];
  const statements = given.flatMap((name) =>
    statementsOf(name, String(written[name]), NAMES.indexOf(name), wrong),
  );
  const { terms } = assembled(statements, wrong);
  for (const { at, what, mend } of wrong) faults.push(document.fault([...path, NAMES[at]!], what, mend));
  return { ...terms, power_W: terms.power_W ?? 0 };
}

function statementsOf(name: KeyName, value: string, at: number, wrong: TextFault[]): Statement[] {
  const { states, inWords }: Key = KEYS[name];
  const { groups, faults } = listen(inWords(value));
  wrong.push(...faults.map((fault) => ({ ...fault, at })));
  const statements = groups.flat();
  const stray = statements.find(({ term }) => !states.includes(term));
  if (stray || (statements.length === 0 && faults.length === 0))
    wrong.push({
      at,
      what: `${quoted(value)} cannot be read as ${name}`,
      mend: 'docs/claims.md lists what each key takes',
    });
  return statements.map((statement) => ({ ...statement, at }));
}
