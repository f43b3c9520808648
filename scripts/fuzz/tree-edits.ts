import fc from 'fast-check';
import { parse, stringify } from 'yaml';
import { HOSTILE_KEYS, HOSTILE_VALUES } from './hostile-values.js';

type Holder = Record<string | number, unknown>;
/** A value inside a document: `holder[key]`. */
interface Place {
  readonly holder: Holder;
  readonly key: string | number;
}
type TreeEdit = (place: Place) => void;

const value = fc.constantFrom(...HOSTILE_VALUES);

function places(holder: Holder, key: string | number, found: Place[] = []): Place[] {
  found.push({ holder, key });
  const inner = holder[key];
  if (typeof inner === 'object' && inner !== null)
    for (const name of Object.keys(inner))
      places(inner as Holder, Array.isArray(inner) ? Number(name) : name, found);
  return found;
}

const dropped: TreeEdit = ({ holder, key }) => {
  if (Array.isArray(holder)) holder.splice(Number(key), 1);
  else delete holder[key];
};

function retyped(put: unknown): TreeEdit {
  return ({ holder, key }) => {
    holder[key] = structuredClone(put);
  };
}

/** Parts of a document beyond which more copies would try the generator rather than a reader that refuses long files. */
const MOST_PARTS = 6000;

/** A list item comes again and again; anything else becomes a list of itself. */
function multiplied(times: number): TreeEdit {
  return ({ holder, key }) => {
    const room = Math.floor(MOST_PARTS / places(holder, key).length);
    const copies = Array.from({ length: Math.min(times, room) }, () => structuredClone(holder[key]));
    if (Array.isArray(holder)) holder.splice(Number(key), 0, ...copies);
    else holder[key] = copies;
  };
}

function nested(levels: number, inList: boolean): TreeEdit {
  return ({ holder, key }) => {
    for (let level = 0; level < levels; level++)
      holder[key] = inList ? [holder[key]] : { [key]: holder[key] };
  };
}

function added(name: string, put: unknown): TreeEdit {
  return ({ holder, key }) => {
    const inner = holder[key];
    const target =
      typeof inner === 'object' && inner !== null && !Array.isArray(inner) ? (inner as Holder) : holder;
    if (!Array.isArray(target)) setOwn(target, name, structuredClone(put));
  };
}

function renamed(change: (name: string) => string): TreeEdit {
  return ({ holder, key }) => {
    if (Array.isArray(holder)) return;
    const kept = holder[key];
    delete holder[key];
    setOwn(holder, change(String(key)), kept);
  };
}

/** Also under names that an assignment would give a meaning of its own. */
function setOwn(target: Holder, name: string, put: unknown): void {
  Object.defineProperty(target, name, { value: put, enumerable: true, configurable: true, writable: true });
}

const edit: fc.Arbitrary<TreeEdit> = fc.oneof(
  { weight: 30, arbitrary: fc.constant(dropped) },
  { weight: 80, arbitrary: value.map(retyped) },
  // Most documents stay small, so that many are tried; a few grow large, where time is.
  { weight: 20, arbitrary: fc.integer({ min: 1, max: 4 }).map(multiplied) },
  { weight: 1, arbitrary: fc.integer({ min: 5, max: 60 }).map(multiplied) },
  {
    weight: 10,
    arbitrary: fc.tuple(fc.integer({ min: 1, max: 80 }), fc.boolean()).map(([n, list]) => nested(n, list)),
  },
  {
    weight: 20,
    arbitrary: fc.tuple(fc.constantFrom(...HOSTILE_KEYS), value).map(([name, put]) => added(name, put)),
  },
  {
    weight: 20,
    arbitrary: fc.constantFrom<TreeEdit[]>(
      renamed((name) => name.slice(1)),
      renamed((name) => name.toUpperCase()),
      renamed((name) => name.replaceAll('_', '-')),
      renamed((name) => `${name}s`),
      renamed(() => '__proto__'),
    ),
  },
);

const edits = fc.array(fc.tuple(fc.double({ min: 0, max: 1, noNaN: true, maxExcluded: true }), edit), {
  minLength: 1,
  maxLength: 4,
});

/** One to four values of plain data dropped, replaced, renamed, repeated or buried. Gives a copy. */
export const treeChanges: fc.Arbitrary<(tree: unknown) => unknown> = edits.map((changes) => (tree) => {
  const root = { top: structuredClone(tree) };
  for (const [where, change] of changes) {
    const all = places(root, 'top');
    change(all[Math.floor(where * all.length)]!);
  }
  return root.top ?? null;
});

/** One of these documents, changed as data and written out again. */
export function editedTrees(texts: readonly string[]): fc.Arbitrary<string> {
  const trees = texts.map((text) => parse(text) as unknown);
  return fc.tuple(fc.constantFrom(...trees), treeChanges, fc.boolean()).map(([tree, change, flow]) =>
    stringify(change(tree), {
      aliasDuplicateObjects: false,
      ...(flow ? { collectionStyle: 'flow' as const } : {}),
    }),
  );
}
