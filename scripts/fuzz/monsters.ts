import fc from 'fast-check';

const KIB = 1024;

/** What nobody writes by hand: deep, long, or made to blow up where it is expanded. */
export const MONSTERS: readonly ((size: number) => string)[] = [
  (size) => '['.repeat(size),
  (size) => '{a: '.repeat(size),
  (size) => '- '.repeat(size),
  (size) => '? '.repeat(size),
  (size) => Array.from({ length: Math.min(size, 700) }, (_, i) => `${' '.repeat(i)}a:`).join('\n'),
  (size) => `a: "${'x'.repeat(size)}"`,
  (size) => `a: "${'\\n'.repeat(size)}"`,
  (size) => `a: |\n${' x\n'.repeat(size)}`,
  (size) => `a: ${'1'.repeat(size)}`,
  (size) => '\n'.repeat(size),
  (size) => ' '.repeat(size),
  (size) => '#\n'.repeat(size),
  (size) => '\u0000'.repeat(size),
  (size) => '"'.repeat(size),
  (size) => "'".repeat(size),
  (size) => ': '.repeat(size),
  (size) => ', '.repeat(size),
  (size) => '&a '.repeat(size),
  (size) => '!x '.repeat(size),
  (size) => '---\n'.repeat(size),
  (size) => '\u202e'.repeat(size),
  (size) => `[${'1, '.repeat(size)}]`,
  (size) => `steps: [${'{climb: }, '.repeat(size)}]`,
  (size) => `channels: [${'{}, '.repeat(size)}]`,
  (size) => `points: [${'{f: 1}, '.repeat(size)}]`,
  (size) => `claims: [${'x, '.repeat(size)}]`,
  (size) => `kind: response\npoints:\n${' - {frequency: 1, level: 2}\n'.repeat(size)}`,
  (size) => Array.from({ length: size }, (_, i) => `k${i}: 1`).join('\n'),
  (size) => 'same: 1\n'.repeat(size),
  (size) => Array.from({ length: size }, (_, i) => `a${i}: &a${i} [*a${i - 1}, *a${i - 1}]`).join('\n'),
  (size) => Array.from({ length: size }, (_, i) => `${i}: ${i}`).join('\n'),
  (size) => `{${Array.from({ length: size }, (_, i) => `k${i}`).join(', ')}}`,
  (size) => `a: ${'x y '.repeat(size)}`,
  (size) => `a: ${'\t'.repeat(size)}b`,
];

/** Such a shape of any length up to the most that a reader looks at, and, seldom, beyond it. */
export const monsters: fc.Arbitrary<string> = fc
  .tuple(
    fc.constantFrom(...MONSTERS),
    fc.oneof(
      { weight: 20, arbitrary: fc.integer({ min: 1, max: 200 }) },
      { weight: 5, arbitrary: fc.integer({ min: 200, max: 4000 }) },
      { weight: 3, arbitrary: fc.integer({ min: 4000, max: 50_000 }) },
      { weight: 1, arbitrary: fc.integer({ min: 50_000, max: 256 * KIB }) },
    ),
    fc.boolean(),
  )
  .map(([shape, size, trim]) => {
    const text = shape(size);
    // Just inside the limit is where the most work is done.
    return trim ? text.slice(0, 256 * KIB) : text;
  });

/** About a megabyte of one random stretch again and again. */
export const megabytes: fc.Arbitrary<string> = fc
  .string({ unit: 'binary', minLength: 1, maxLength: 50 })
  .map((stretch) => stretch.repeat(Math.ceil((KIB * KIB) / stretch.length)));

/** Bytes that may be no text at all. */
export const bytes: fc.Arbitrary<Uint8Array> = fc.uint8Array({ maxLength: 300 });
