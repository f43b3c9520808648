import { describe, expect, it, test } from 'vitest';
import { AskedWrongly, askedList, askedRun, askedRuns } from '../../../src/view/browse/asked.js';

const list = (query: string) => askedList(new URLSearchParams(query));

describe('what a list is asked for', () => {
  it('is all runs, from the first page, when nothing is said', () => {
    expect(list('')).toEqual({ search: {}, page: 1 });
    expect(list('unit=&outcome=&from=&strange=1')).toEqual({ search: {}, page: 1 });
  });

  it('is read from the query, spaces around it taken away', () => {
    expect(list('unit=%20left%20&outcome=tripped&from=2026-03-01&to=2026-03-01&text=dc&page=3')).toEqual({
      search: { unit: 'left', outcome: 'tripped', from: '2026-03-01', to: '2026-03-01', text: 'dc' },
      page: 3,
    });
  });

  test.each([
    ['outcome=won', "outcome is 'won'"],
    ['from=2026-02-30', "from is '2026-02-30'"],
    ['to=yesterday', 'a day, as in 2026-03-01'],
    ['from=2026-03-02&to=2026-03-01', 'a day not after 2026-03-01'],
    ['page=0', "page is '0'"],
    ['page=1e3', "page is '1e3'"],
    [`unit=${'x'.repeat(201)}`, 'at most 200 characters'],
  ])('%s is refused', (query, message) => {
    expect(() => list(query)).toThrow(AskedWrongly);
    expect(() => list(query)).toThrow(message);
  });
});

describe('runs that an address names', () => {
  it('are taken in their order', () => {
    expect(askedRuns(new URLSearchParams('run=7&run=3'))).toEqual([7, 3]);
    expect(askedRun('12')).toBe(12);
  });

  test.each([
    ['', 'two to 12 runs'],
    ['run=1', 'two to 12 runs'],
    ['run=1&run=1', 'each run once'],
    ['run=1&run=-2', "run is '-2'"],
    ['run=1&run=2%20OR%201', 'the number of a run'],
    [Array.from({ length: 13 }, (_, i) => `run=${i + 1}`).join('&'), 'two to 12 runs'],
  ])('%s is refused', (query, message) => {
    expect(() => askedRuns(new URLSearchParams(query))).toThrow(message);
  });
});
