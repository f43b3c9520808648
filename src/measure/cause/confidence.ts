import type { CauseCode } from './cause.js';
import type { CauseQuestion } from './question.js';

export function stated(share: number, _cause: CauseCode, _question: CauseQuestion): number {
  return share;
}
