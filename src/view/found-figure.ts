import {
  findingName,
  placeWords,
  termsWords,
  valueWords,
  whoseWords,
} from '../document/model/finding-words.js';
import { notesOf } from '../document/model/reason-words.js';
import type { Finding } from '../record/finding.js';
import type { FoundFigure } from './run-view.js';

/** A finding in the words that it is shown in while the run goes. */
export const foundFigure = (finding: Finding): FoundFigure => ({
  name: findingName(finding),
  place: [whoseWords(finding), placeWords(finding), termsWords(finding)].join(', '),
  value: valueWords(finding),
  note: notesOf(finding).join('; '),
});
