import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { cutLists } from '../../src/bundle/cut-lists.js';

function cut(text: string, ...names: string[]): { rest: string; items: [string, string][] } {
  const items: [string, string][] = [];
  const rest = cutLists(text, new Set(names), (name, item) => items.push([name, item]));
  return { rest, items };
}

describe('lists cut out of a JSON text', () => {
  it('are given item by item, and leave empty lists behind', () => {
    expect(cut('{"a":[1,{"b":[2,3]},"x],"],"c":[4]}', 'a')).toEqual({
      rest: '{"a":[],"c":[4]}',
      items: [
        ['a', '1'],
        ['a', '{"b":[2,3]}'],
        ['a', '"x],"'],
      ],
    });
  });

  it('are those of the outermost object, and only the first of a name', () => {
    const text = '{"b":{"a":[1]},"a":[2],"a":[3]}';
    expect(cut(text, 'a')).toEqual({ rest: '{"b":{"a":[1]},"a":[],"a":[3]}', items: [['a', '2']] });
  });

  it('have no item when there is only space, and an empty one beside a comma that has none', () => {
    expect(cut('{"a":[ \n]}', 'a').items).toEqual([]);
    expect(cut('{"a":[1,]}', 'a').items).toEqual([
      ['a', '1'],
      ['a', ''],
    ]);
  });

  it('say with the rest what the whole says, for any JSON', () => {
    const parts = fc.dictionary(fc.constantFrom('a', 'b', '"', '\\'), fc.jsonValue({ maxDepth: 3 }));
    fc.assert(
      fc.property(parts, fc.constantFrom(0, 2), (object, space) => {
        const { rest, items } = cut(JSON.stringify(object, null, space), 'a', 'b');
        const joined = JSON.parse(rest) as Record<string, unknown[]>;
        for (const [name, item] of items) joined[name]!.push(JSON.parse(item));
        expect(joined).toEqual(JSON.parse(JSON.stringify(object)));
      }),
      { seed: 11, numRuns: 500 },
    );
  });
});
