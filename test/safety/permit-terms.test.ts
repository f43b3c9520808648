import { describe, expect, it } from 'vitest';
import { permitFaults } from '../../src/safety/permit-terms.js';

const terms = { sequence_sha256: 'a'.repeat(64), bench_fingerprint: 'b'.repeat(64), claim: '100 W' };
const permit = {
  ...terms,
  id: 'p-234567',
  signed: '2031-03-04T10:00:00.000Z',
  expires: '2031-03-04T22:00:00.000Z',
};
const noon = new Date('2031-03-04T12:00:00Z');

describe('permitFaults', () => {
  it('finds nothing against the run that was signed for', () => {
    expect(permitFaults(permit, terms, noon, null)).toEqual([]);
  });

  it.each([
    [
      'another sequence',
      { sequence_sha256: 'c'.repeat(64) },
      'the sequence differs: signed for aaaaaaaaaaaa, found cccccccccccc',
    ],
    [
      'another bench',
      { bench_fingerprint: 'd'.repeat(64) },
      'the bench, its calibration or a program of it differs: signed for bbbbbbbbbbbb, found dddddddddddd',
    ],
    ['another claim', { claim: '200 W' }, "the claim differs: signed for '100 W', found '200 W'"],
    ['no claim', { claim: null }, "the claim differs: signed for '100 W', found none"],
  ])('refuses %s, naming both', (_, changes, text) => {
    expect(permitFaults(permit, { ...terms, ...changes }, noon, null)).toEqual([text]);
  });

  it('holds up to its expiry and not from then on', () => {
    expect(permitFaults(permit, terms, new Date('2031-03-04T21:59:59.999Z'), null)).toEqual([]);
    expect(permitFaults(permit, terms, new Date(permit.expires), null)).toEqual([
      `it expired at ${permit.expires}`,
    ]);
  });

  it('refuses one from the future, or with a moment that is none', () => {
    expect(permitFaults(permit, terms, new Date('2031-03-04T09:00:00Z'), null)[0]).toMatch(
      /in the future by this clock/,
    );
    expect(permitFaults(permit, terms, new Date(permit.signed), null)).toEqual([]);
    expect(permitFaults({ ...permit, expires: 'never' }, terms, noon, null)).toEqual(['it expired at never']);
  });

  it('serves one run only', () => {
    expect(permitFaults(permit, terms, noon, 7)).toEqual(['run 7 has used it, and a permit serves one run']);
  });

  it('tells everything at once', () => {
    const present = { sequence_sha256: 'c', bench_fingerprint: 'd', claim: null };
    expect(permitFaults(permit, present, new Date('2032-01-01'), 3)).toHaveLength(5);
  });

  it('takes a whole permit of a week', () => {
    const whole = {
      ...permit,
      expires: '2031-03-11T10:00:00.000Z',
      by: 'Ada',
      checklist: [{ item: 'Is the load rated?', answer: 'yes' }],
    };
    expect(permitFaults(whole, terms, noon, null)).toEqual([]);
    // A second is left to rounding, and no more.
    expect(permitFaults({ ...whole, expires: '2031-03-11T10:00:01.000Z' }, terms, noon, null)).toEqual([]);
    expect(permitFaults({ ...whole, expires: '2031-03-11T10:00:02.000Z' }, terms, noon, null)).toHaveLength(
      1,
    );
  });

  it.each([
    [
      'a longer life',
      { expires: '2032-03-04T10:00:00.000Z' },
      'it is valid for 366 days, and 7 is the maximum',
    ],
    ['no time of signing', { signed: 'soon' }, "the time of its signature cannot be read: 'soon'"],
    ['no name', { by: ' ' }, 'it is not signed'],
    ['an empty checklist', { checklist: [] }, 'its checklist is damaged'],
    ['a number for a checklist', { checklist: 7 }, 'its checklist is damaged'],
    ['nothing confirmed', { checklist: [{ item: 'Is it?' }] }, 'its checklist is damaged'],
    ['nothing asked', { checklist: [{ answer: 'yes' }] }, 'its checklist is damaged'],
    ['an item that is none', { checklist: [null] }, 'its checklist is damaged'],
    [
      'one of two confirmed',
      { checklist: [{ item: 'Is it?', answer: 'yes' }, { item: 'Is it?' }] },
      'its checklist is damaged',
    ],
  ])('refuses one that was changed where it is kept: %s', (_, changes, text) => {
    expect(permitFaults({ ...permit, ...changes }, terms, noon, null)).toEqual([text]);
  });
});
