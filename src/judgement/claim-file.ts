import { z } from 'zod';
import type { Band } from '../measure/analysis.js';
import { DocumentError, type Fault } from '../schema/document-error.js';
import { label, prose, quantity, readerField } from '../schema/fields.js';
import { checkAgainst } from '../schema/parse-yaml.js';
import { YamlDocument } from '../schema/yaml-document.js';
import { BadQuantity, parseQuantity, quoted } from '../units/parse.js';
import { type Claim, type ClaimTerms, NO_TERMS, type Supply } from './claim.js';
import { termFaults } from './claim-faults.js';
import { parseClaim } from './claim-text.js';

/** What a claim file holds: the claims of one unit, as its maker publishes them. */
export interface ClaimFile {
  readonly unit: string | null;
  /** Where they were published, in words. */
  readonly source: string | null;
  readonly claims: readonly Claim[];
}

function parseBand(text: string): Band {
  const ends = text.split(/\s+to\s+/).map((end) => parseQuantity(end, 'Hz'));
  const [low, high = low] = ends;
  if (ends.length > 2 || low === undefined || high === undefined)
    throw new BadQuantity({ what: `expected one frequency or a band, got ${quoted(text)}` });
  return [low, high];
}

function parseMains(text: string): Supply {
  const match = /^(.*?V)(?:[\s,]+(.*Hz))?$/.exec(text.trim());
  if (!match) throw new BadQuantity({ what: `expected mains such as '230 V 50 Hz', got ${quoted(text)}` });
  const voltage_V = parseQuantity(match[1]!, 'V');
  return { kind: 'mains', voltage_V, frequency_Hz: match[2] ? parseQuantity(match[2], 'Hz') : null };
}

const TERMS = z.strictObject({
  power: quantity('W'),
  from: quantity('W').optional(),
  per: z.enum(['channel', 'total']).optional(),
  kind: z.enum(['continuous', 'burst', 'dynamic', 'music', 'maximum', 'peak']).optional(),
  load: quantity('ohm').optional(),
  thd: quantity('%').optional(),
  thdn: quantity('%').optional(),
  distortion: quantity('%').optional(),
  frequency: readerField(
    parseBand,
    "a frequency or a band such as '1 kHz' or '20 Hz to 20 kHz'",
    'give the unit',
  ).optional(),
  channels: z.int().optional(),
  driven: z.union([z.literal('all'), z.int()]).optional(),
  bridged: z.literal(true).optional(),
  mains: readerField(parseMains, "mains such as '230 V' or '230 V 50 Hz'", 'give the unit').optional(),
  supply: quantity('V').optional(),
  duration: quantity('s').optional(),
  burst: quantity('s').optional(),
  standard: label(80).optional(),
});
type Written = z.output<typeof TERMS>;

const ABOUT = { unit: label().optional(), source: prose(1000).optional() };
const ONE = TERMS.extend(ABOUT);
const SEVERAL = z.strictObject({ ...ABOUT, claims: z.array(z.unknown()).min(1).max(50) });

/** The key that a term was written under. */
const KEYS: Readonly<Record<keyof ClaimTerms, readonly string[]>> = {
  power_W: ['power'],
  from_W: ['from'],
  per: ['per'],
  kind: ['kind'],
  load_ohm: ['load'],
  distortion_percent: ['thdn', 'thd', 'distortion'],
  distortion: ['thdn', 'thd'],
  frequency_Hz: ['frequency'],
  channels: ['channels'],
  driven: ['driven'],
  bridged: ['bridged'],
  supply: ['mains', 'supply'],
  duration_s: ['duration'],
  burst_s: ['burst'],
  standard: ['standard'],
};

/**
 * Reads a claim file: the keys of one claim, or `claims:` with a list of claims, each with keys of its own or as a
 * line of text.
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
      ? checked.value.claims.map((part, i) => listed(document, part, ['claims', i], faults))
      : [claimOf(document, checked.value, [], faults)];
  if (faults.length > 0) throw new DocumentError(file, faults);
  return { unit, source, claims: claims.flatMap((claim) => (claim ? [claim] : [])) };
}

function listed(
  document: YamlDocument,
  part: unknown,
  path: readonly PropertyKey[],
  faults: Fault[],
): Claim | null {
  if (typeof part === 'string') {
    try {
      return parseClaim(part);
    } catch (error) {
      if (!(error instanceof DocumentError)) throw error;
      for (const { column, what, mend } of error.faults)
        faults.push(document.fault(path, `character ${column}: ${what}`, mend));
      return null;
    }
  }
  const checked = checkAgainst(document, part, TERMS, path);
  if ('value' in checked) return claimOf(document, checked.value, path, faults);
  faults.push(...checked.faults);
  return null;
}

function claimOf(
  document: YamlDocument,
  written: Written,
  path: readonly PropertyKey[],
  faults: Fault[],
): Claim {
  const has = (key: string) => Object.hasOwn(written, key);
  const one = (keys: readonly string[], what: string) => {
    const found = keys.filter(has);
    if (found.length > 1)
      faults.push(
        document.fault([...path, found[1]!], `${found.join(' and ')}: ${what}`, 'keep one of them', true),
      );
  };
  one(['thd', 'thdn', 'distortion'], 'a claim has one distortion');
  one(['mains', 'supply'], 'a claim has one supply');
  const claim = termsOf(written);
  for (const { term, what, mend } of termFaults(claim)) {
    const key = KEYS[term].find(has);
    faults.push(document.fault(key ? [...path, key] : path, what, mend));
  }
  return claim;
}

function termsOf(written: Written): Claim {
  const { thd, thdn, distortion, burst, supply } = written;
  return {
    ...NO_TERMS,
    power_W: written.power,
    from_W: written.from ?? null,
    per: written.per ?? (written.channels === undefined ? null : 'channel'),
    kind: written.kind ?? (burst === undefined ? null : 'burst'),
    load_ohm: written.load ?? null,
    distortion_percent: thdn ?? thd ?? distortion ?? null,
    distortion: thdn === undefined ? (thd === undefined ? null : 'THD') : 'THD+N',
    frequency_Hz: written.frequency ?? null,
    channels: written.channels ?? null,
    driven: written.driven ?? null,
    bridged: written.bridged ?? null,
    supply:
      written.mains ?? (supply === undefined ? null : { kind: 'dc', voltage_V: supply, frequency_Hz: null }),
    duration_s: written.duration ?? null,
    burst_s: burst ?? null,
    standard: written.standard ?? null,
  };
}
