import fc from 'fast-check';
import { hashOf, runFrom } from '../../src/bundle/documents.js';
import { FORMAT_VERSION } from '../../src/bundle/manifest.js';
import { identityOfRun } from '../../src/bundle/seal.js';
import { type Member, zipOf } from '../../test/bundle/zip.js';
import { HOSTILE_KEYS } from './hostile-values.js';
import { monsters } from './monsters.js';
import { textChanges } from './text-edits.js';
import { treeChanges } from './tree-edits.js';

/** Changes the members of a bundle, or what is said of them. */
type MembersEdit = (members: readonly Member[]) => Member[];

const MANIFEST = 'manifest.json';
const share = fc.double({ min: 0, max: 1, noNaN: true, maxExcluded: true });
const at = (list: ArrayLike<unknown>, where: number) => Math.floor(where * list.length);
const textOf = ({ data }: Member) => Buffer.from(data).toString();

/** Another content for one member: documents of JSON as data, anything as text. */
const changedMember: fc.Arbitrary<MembersEdit> = fc
  .tuple(share, share, treeChanges, textChanges)
  .map(([where, asData, change, edit]) => (members) => {
    // Every second time the run itself, in which most is to be got wrong.
    const run = members.findIndex(({ name }) => name === 'run.json');
    const place = where < 0.5 && run >= 0 ? run : at(members, where);
    return members.map((member, i) => {
      if (i !== place) return member;
      const text = textOf(member);
      const data = asData < 0.7 && isJson(text) ? JSON.stringify(change(JSON.parse(text))) : edit(text);
      return { ...member, data: Buffer.from(data) };
    });
  });

/** A number of the run becomes another, with nothing else amiss: such a bundle is good, when its lists follow. */
const figureChanged: fc.Arbitrary<MembersEdit> = fc
  .tuple(share, fc.oneof(fc.double({ noNaN: true, min: -1e6, max: 1e6 }), fc.integer({ min: 0, max: 100 })))
  .map(
    ([where, put]) =>
      (members) =>
        members.map((member) => {
          if (member.name !== 'run.json') return member;
          const text = textOf(member);
          const numbers = [...text.matchAll(/(?<=:)-?\d[\d.e+-]*/g)];
          const { index = 0, 0: old = '' } = numbers[at(numbers, where)] ?? {};
          const now = text.slice(0, index) + String(put) + text.slice(index + old.length);
          return { ...member, data: Buffer.from(now) };
        }),
  );

function isJson(text: string): boolean {
  try {
    JSON.parse(text);
    return true;
  } catch {
    return false;
  }
}

const monstrous: fc.Arbitrary<MembersEdit> = fc.tuple(share, monsters).map(
  ([where, text]) =>
    (members) =>
      members.map((member, i) =>
        i === at(members, where) ? { ...member, data: Buffer.from(text) } : member,
      ),
);

const dropped: fc.Arbitrary<MembersEdit> = share.map(
  (where) => (members) => members.filter((_, i) => i !== at(members, where)),
);

const doubled: fc.Arbitrary<MembersEdit> = share.map((where) => (members) => [
  ...members,
  members[at(members, where)]!,
]);

const NAMES = [
  ...HOSTILE_KEYS,
  '../run.json',
  '/etc/passwd',
  'captures/point-00009.wav',
  'spectra/point-00009.json',
  'calibration/003-x.yaml',
  'claim.txt',
  'a\\b',
  'x/',
  '\u0000',
];

const renamed: fc.Arbitrary<MembersEdit> = fc.tuple(share, fc.constantFrom(...NAMES)).map(
  ([where, name]) =>
    (members) =>
      members.map((member, i) => (i === at(members, where) ? { ...member, name } : member)),
);

/** What the directory says of a member is not so. */
const lying: fc.Arbitrary<MembersEdit> = fc
  .tuple(
    share,
    fc.oneof(
      fc.constantFrom(0, 1, 2 ** 16, 2 ** 31, 2 ** 32 - 1).map((declared) => ({ declared })),
      fc.constantFrom(0o120777, 0o040755, 0o020666, 0).map((mode) => ({ mode })),
      fc.constantFrom(1, 8, 9, 12, 99).map((method) => ({ method })),
      fc.constant({ encrypted: true }),
    ),
  )
  .map(
    ([where, lie]) =>
      (members) =>
        members.map((member, i) => (i === at(members, where) ? { ...member, ...lie } : member)),
  );

/** Millions of nothing in a few bytes. */
const bomb: fc.Arbitrary<MembersEdit> = fc
  .tuple(share, fc.constantFrom(2 ** 12, 2 ** 16, 2 ** 20, 2 ** 22), fc.constantFrom(0x20, 0x30, 0x5b))
  .map(
    ([where, bytes, fill]) =>
      (members) =>
        members.map((member, i) =>
          i === at(members, where) ? { ...member, data: Buffer.alloc(bytes, fill), packed: true } : member,
        ),
  );

const membersEdit: fc.Arbitrary<MembersEdit> = fc.oneof(
  { weight: 100, arbitrary: changedMember },
  { weight: 30, arbitrary: figureChanged },
  { weight: 8, arbitrary: monstrous },
  { weight: 8, arbitrary: dropped },
  { weight: 6, arbitrary: doubled },
  { weight: 12, arbitrary: renamed },
  { weight: 12, arbitrary: lying },
  { weight: 1, arbitrary: bomb },
);

/** How far the manifest follows the change: not at all, with sizes and hashes, or with the identity of the run too. */
const follows = fc.constantFrom('not', 'listed', 'listed', 'whole', 'whole', 'whole');

function followed(members: readonly Member[], how: string): Member[] {
  const manifest = members.find(({ name }) => name === MANIFEST);
  if (how === 'not' || !manifest || !isJson(textOf(manifest))) return [...members];
  const others = members.filter((member) => member !== manifest);
  const listed = others.map(({ name, data }) => ({ name, bytes: data.length, sha256: hashOf(data) }));
  const identity = how === 'whole' ? identityIfAny(others) : null;
  const text = JSON.stringify({
    ...(JSON.parse(textOf(manifest)) as object),
    members: listed,
    ...(identity === null ? {} : { identity }),
  });
  return [{ ...manifest, data: Buffer.from(text) }, ...others];
}

function identityIfAny(members: readonly Member[]): string | null {
  const documents = members.filter(({ name }) => !name.startsWith('captures/'));
  try {
    const texts = new Map(documents.map((one) => [one.name, textOf(one)]));
    const content = runFrom(texts, { file: 'x', format_version: FORMAT_VERSION, spent: () => {} });
    return identityOfRun(content);
  } catch {
    return null;
  }
}

const damagedMembers = (bundles: readonly (readonly Member[])[]): fc.Arbitrary<Uint8Array> =>
  fc
    .tuple(fc.constantFrom(...bundles), fc.array(membersEdit, { minLength: 1, maxLength: 2 }), follows)
    .map(([members, edits, how]) => {
      let now = [...members];
      for (const edit of edits) if (now.length > 0) now = edit(now);
      return zipOf(followed(now, how));
    });

const NUMBERS = [0, 1, 0x7f, 0xff, 0x7fff, 0xffff, 0x7fff_ffff, 0xffff_ffff];

/** One change of the file's bytes. */
const bytesEdit: fc.Arbitrary<(bytes: Uint8Array) => Uint8Array> = fc.oneof(
  fc.tuple(share, fc.integer({ min: 1, max: 255 })).map(([where, mask]) => (bytes: Uint8Array) => {
    const out = bytes.slice();
    if (out.length > 0) out[at(out, where)]! ^= mask;
    return out;
  }),
  // Headers and directory begin with these letters: sizes, counts and places stand behind them.
  fc
    .tuple(share, fc.nat(50), fc.constantFrom(...NUMBERS), fc.constantFrom(2, 4))
    .map(([where, offset, value, width]) => (bytes: Uint8Array) => {
      const out = Buffer.from(bytes);
      const head = out.lastIndexOf('PK', at(out, where));
      for (let i = 0; head >= 0 && i < width && head + offset + i < out.length; i++)
        out[head + offset + i] = Math.floor(value / 256 ** i) % 256;
      return out;
    }),
  share.map((where) => (bytes: Uint8Array) => bytes.slice(0, at(bytes, where))),
  share.map((where) => (bytes: Uint8Array) => bytes.slice(at(bytes, where))),
  fc.uint8Array({ maxLength: 60 }).map((more) => (bytes: Uint8Array) => Buffer.concat([bytes, more])),
);

const damagedBytes = (bundles: readonly (readonly Member[])[]): fc.Arbitrary<Uint8Array> =>
  fc
    .tuple(
      fc.constantFrom(...bundles.map((members) => zipOf(members))),
      fc.array(bytesEdit, { minLength: 1, maxLength: 4 }),
    )
    .map(([bytes, edits]) => edits.reduce<Uint8Array>((now, edit) => edit(now), bytes));

/**
 * Bundles with members changed, dropped, doubled, renamed or lied about, their lists and hashes made to fit or not; with
 * bytes and header fields of the file itself changed; and some that never were any.
 *
 * @param bundles members of good ones
 */
export function bundleCases(bundles: readonly (readonly Member[])[]): fc.Arbitrary<Uint8Array> {
  return fc.oneof(
    { weight: 700, arbitrary: damagedMembers(bundles) },
    { weight: 280, arbitrary: damagedBytes(bundles) },
    { weight: 20, arbitrary: fc.uint8Array({ maxLength: 300 }) },
  );
}
