import { expect, test } from 'vitest';
import { numbered } from '../../../src/document/model/wording.js';

test('titles that are alike are numbered among themselves, and no others', () =>
  expect(numbered(['8 ohm', '4 ohm', '8 ohm'])).toEqual(['8 ohm (1 of 2)', '4 ohm', '8 ohm (2 of 2)']));
