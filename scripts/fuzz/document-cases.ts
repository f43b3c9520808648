import fc from 'fast-check';
import { bytes, megabytes, monsters } from './monsters.js';
import { editedTexts } from './text-edits.js';
import { editedTrees } from './tree-edits.js';

/** The text of a document with some of its bytes changed, as UTF-8 that may no longer be any. */
function flipped(texts: readonly string[]): fc.Arbitrary<Uint8Array> {
  const flips = fc.array(
    fc.tuple(fc.double({ min: 0, max: 1, noNaN: true, maxExcluded: true }), fc.nat(255)),
    {
      minLength: 1,
      maxLength: 6,
    },
  );
  return fc.tuple(fc.constantFrom(...texts), flips).map(([text, changes]) => {
    const encoded = new TextEncoder().encode(text);
    for (const [where, put] of changes) encoded[Math.floor(where * encoded.length)] = put;
    return encoded;
  });
}

/**
 * Documents of one kind as they may arrive: good ones damaged as text, as data or as bytes, and some that never were
 * any.
 *
 * @param texts good documents, which the damage starts from
 */
export function documentCases(texts: readonly string[]): fc.Arbitrary<string | Uint8Array> {
  return fc.oneof(
    { weight: 450, arbitrary: editedTexts(texts) },
    { weight: 450, arbitrary: editedTrees(texts) },
    { weight: 50, arbitrary: flipped(texts) },
    { weight: 30, arbitrary: monsters },
    { weight: 15, arbitrary: bytes },
    { weight: 5, arbitrary: megabytes },
  );
}
