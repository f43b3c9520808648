import { type Finding, findingKey, numberOf } from './finding.js';
import { quantityNamed } from './quantities.js';

/**
 * One finding a figure, in the order in which the figures were first found. A step that was played again has told a figure twice. Of
 * what was typed in the newest stands, so that a typing error can be corrected; of what was measured the worst, where less is better.
 */
export function standingFindings(findings: readonly Finding[]): Finding[] {
  const standing = new Map<string, Finding>();
  for (const finding of findings) {
    // Older findings name their tone by its lines alone.
    const key = `${findingKey(finding)} ${finding.stimulus.lines_Hz}`;
    const before = standing.get(key);
    if (!before || !isWorse(before, finding)) standing.set(key, finding);
  }
  return [...standing.values()];
}

const isWorse = (before: Finding, finding: Finding): boolean =>
  finding.quantity !== 'dc-by-meter' &&
  quantityNamed(finding.quantity)?.better === 'less' &&
  Math.abs(numberOf(before) ?? 0) > Math.abs(numberOf(finding) ?? 0);
