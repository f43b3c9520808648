import type { z } from 'zod';
import { quoted } from '../units/parse.js';
import { nearest } from './nearest.js';

/** An issue in our words: the keys to it, and the key itself when that is what is wrong. */
export interface Explained {
  readonly path: readonly PropertyKey[];
  readonly what: string;
  readonly mend: string;
  /** True when the fault lies in the last key of the path and not in its value. */
  readonly atKey: boolean;
}

/** Between what is wrong and what would be right, inside one message. */
const MEND = '; ';
/** Between the messages of several unknown keys of one map. */
const NEXT = '\n';

const KINDS: Readonly<Record<string, string>> = {
  string: 'a text',
  number: 'a plain number',
  int: 'a whole number',
  boolean: 'true or false',
  object: 'keys with values',
  array: 'a list',
  record: 'keys with values',
};

function shown(input: unknown): string {
  if (input === null) return 'nothing';
  if (Array.isArray(input)) return 'a list';
  if (typeof input === 'object') return 'keys with values';
  return quoted(String(input));
}

type RawIssue = z.core.$ZodRawIssue;

function knownKeys(issue: RawIssue): string[] {
  const definition = (issue.inst as { _zod?: { def?: { shape?: object } } } | undefined)?._zod?.def;
  return Object.keys(definition?.shape ?? {});
}

function unknownKey(key: string, known: readonly string[]): string {
  const near = nearest(key, known);
  const mend = near ? `did you mean '${near}'?` : `known here: ${known.join(', ')}`;
  return `unknown key ${quoted(key)}${known.length > 0 ? MEND + mend : ''}`;
}

function outOfRange(issue: RawIssue & { code: 'too_small' | 'too_big' }): string {
  const small = issue.code === 'too_small';
  const limit = small ? issue.minimum : issue.maximum;
  if (issue.origin === 'array') {
    if (small && Number(limit) === 1) return `the list is empty${MEND}give at least one`;
    return `a list of ${(issue.input as unknown[]).length}${MEND}it needs at ${small ? 'least' : 'most'} ${limit}`;
  }
  if (issue.origin === 'string') {
    if (small) return `the text is empty${MEND}write something`;
    return `the text is longer than ${limit} characters${MEND}shorten it`;
  }
  const bound = small ? (issue.inclusive ? 'at least' : 'above') : issue.inclusive ? 'at most' : 'below';
  return `expected a number ${bound} ${limit}, got ${shown(issue.input)}`;
}

function choices(options: readonly unknown[]): string {
  return options.map((option) => `'${String(option)}'`).join(', ');
}

/** Words for zod's issues, given to zod as its error map. Messages set in a schema stay as they are. */
export function issueWords(issue: RawIssue): string | undefined {
  if (issue.input === undefined && issue.code !== 'unrecognized_keys' && issue.code !== 'custom')
    return 'is missing';
  switch (issue.code) {
    case 'invalid_type':
      return `expected ${KINDS[issue.expected] ?? issue.expected}, got ${shown(issue.input)}`;
    case 'unrecognized_keys':
      return issue.keys.map((key) => unknownKey(key, knownKeys(issue))).join(NEXT);
    case 'too_small':
    case 'too_big':
      return outOfRange(issue);
    case 'invalid_value':
      return `expected one of ${choices(issue.values)}, got ${shown(issue.input)}`;
    case 'invalid_union': {
      const { options, discriminator } = issue as unknown as { options?: unknown[]; discriminator?: string };
      if (!options || !discriminator) return undefined;
      const given = (issue.input as Record<string, unknown>)[discriminator];
      if (given === undefined) return `is missing${MEND}one of ${choices(options)}`;
      return `expected one of ${choices(options)}, got ${shown(given)}`;
    }
    default:
      return undefined;
  }
}

/** Of several ways to read a value, the one that got furthest is what the writer meant; of these, one that takes its kind. */
function bestBranch(branches: readonly (readonly z.core.$ZodIssue[])[]): readonly z.core.$ZodIssue[] {
  const anotherKind = (issue: z.core.$ZodIssue) => issue.code === 'invalid_type' && issue.path.length === 0;
  const reach = (issues: readonly z.core.$ZodIssue[]) =>
    Math.max(...issues.map((issue) => issue.path.length), 0) -
    issues.length / 1000 -
    (issues.some(anotherKind) ? 0.5 : 0);
  return branches.reduce((best, branch) => (reach(branch) > reach(best) ? branch : best), branches[0] ?? []);
}

/** The issues without those about the size of what is of another kind than it should be: a list in the place of a text is not too short. */
export function tellingIssues(issues: readonly z.core.$ZodIssue[]): z.core.$ZodIssue[] {
  const key = ({ path }: z.core.$ZodIssue) => JSON.stringify(path.map(String));
  const otherKind = new Set(issues.filter(({ code }) => code === 'invalid_type').map(key));
  const ofSize = ({ code }: z.core.$ZodIssue) => code === 'too_small' || code === 'too_big';
  return issues.filter((issue) => !ofSize(issue) || !otherKind.has(key(issue)));
}

/** Turns one zod issue (whose message came from `issueWords` or the schema) into faults with paths. */
export function explainIssue(issue: z.core.$ZodIssue, above: readonly PropertyKey[] = []): Explained[] {
  const path = [...above, ...issue.path];
  if (issue.code === 'invalid_union' && issue.errors.length > 0)
    return tellingIssues(bestBranch(issue.errors)).flatMap((inner) => explainIssue(inner, path));
  const split = (message: string) => {
    const cut = message.indexOf(MEND);
    return cut < 0
      ? { what: message, mend: '' }
      : { what: message.slice(0, cut), mend: message.slice(cut + 2) };
  };
  if (issue.code === 'unrecognized_keys') {
    const messages = issue.message.split(NEXT);
    return issue.keys.map((key, index) => ({
      path: [...path, key],
      ...split(messages[index] ?? unknownKey(key, [])),
      atKey: true,
    }));
  }
  return [{ path, ...split(issue.message), atKey: false }];
}
