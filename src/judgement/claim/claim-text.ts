import { DocumentError } from '../../schema/document-error.js';
import { quoted } from '../../units/parse.js';
import type { Claim, ClaimTerms } from './claim.js';
import { assembled, type Draft, twice } from './claim-draft.js';
import { EXAMPLE, listen } from './claim-listen.js';
import type { Statement, TextFault } from './claim-statement.js';

/**
 * Reads the claims of one line of text, such as `120 W, 6 ohm, 0.9 %, 1 kHz, 1 channel` or `100 W/8 ohm, 180 W/4 ohm`.
 *
 * Terms may stand in any order, parted by commas or joined by words (`100 W per channel into 8 ohm`). What is not
 * stated is null in the result. Between commas or semicolons stands a group of terms; each group with a power begins a claim, to which
 * the groups up to the next power belong. Groups before the first power hold for all claims, and so do those behind the last
 * where the powers follow each other directly (`100 W/8 ohm, 180 W/4 ohm, 1 %`).
 *
 * @param name what stands in front of a fault's place
 * @throws DocumentError listing every fault with its column: unknown words, numbers without unit, terms said
 *   twice, values that cannot be, terms that contradict each other, no power, powers that nothing tells apart
 */
export function parseClaims(text: string, name = 'claim'): Claim[] {
  const { groups, faults } = listen(text);
  const drafts = claimsOf(groups).map((statements) => assembled(statements, faults));
  const claims = drafts.flatMap(({ terms }) =>
    terms.power_W === null ? [] : [{ ...terms, power_W: terms.power_W }],
  );
  if (faults.length === 0 && claims.length === 0)
    faults.push({ at: 0, what: `${quoted(text)} states no power`, mend: `give one, as in ${EXAMPLE}` });
  if (faults.length === 0) faults.push(...alike(drafts));
  throwIfAny(name, faults);
  return claims;
}

/** Reads a line that states one claim. Parameters and errors as above; several claims are an error as well. */
export function parseClaim(text: string, name = 'claim'): Claim {
  const [claim, another] = parseClaims(text, name);
  if (another) throwIfAny(name, [{ at: 0, what: `${quoted(text)} states several claims`, mend: 'give one' }]);
  return claim!;
}

/** Reads conditions without a power, such as `8 ohm, 0.1 %`, as `parseClaims` reads a claim. @throws DocumentError */
export function parseTerms(text: string, name = 'terms'): ClaimTerms {
  const { groups, faults } = listen(text);
  const { terms, stated } = assembled(groups.flat(), faults);
  const power = stated.get('power_W');
  if (power)
    faults.push({
      at: power.at,
      what: 'a power is what comes out',
      mend: "give conditions only, as in '8 ohm, 0.1 %'",
    });
  else if (faults.length === 0 && Object.values(terms).every((term) => term === null))
    faults.push({
      at: 0,
      what: `${quoted(text)} states no condition`,
      mend: "give some, as in '8 ohm, 0.1 %'",
    });
  throwIfAny(name, faults);
  return terms;
}

const hasPower = (group: readonly Statement[]) => group.some(({ term }) => term === 'power_W');

/** Which groups make a claim together. */
function claimsOf(groups: readonly Statement[][]): Statement[][] {
  const powers = groups.flatMap((group, i) => (hasPower(group) ? [i] : []));
  if (powers.length < 2) return [groups.flat()];
  const last = powers.at(-1)!;
  const adjacent = last - powers[0]! === powers.length - 1;
  const common = [...groups.slice(0, powers[0]), ...(adjacent ? groups.slice(last + 1) : [])].flat();
  return powers.map((from, i) => {
    const end = adjacent ? from + 1 : (powers[i + 1] ?? groups.length);
    return [...groups.slice(from, end).flat(), ...common];
  });
}

/** Powers that are claimed under the same conditions contradict each other. */
function alike(drafts: readonly Draft[]): TextFault[] {
  return drafts.flatMap(({ terms, stated }, i) => {
    const rival = drafts.slice(0, i).find((other) => sameConditions(other.terms, terms));
    return rival ? [twice(rival.stated.get('power_W')!, stated.get('power_W')!)] : [];
  });
}

const sameConditions = (one: ClaimTerms, other: ClaimTerms) =>
  JSON.stringify({ ...one, power_W: null }) === JSON.stringify({ ...other, power_W: null });

function throwIfAny(name: string, faults: readonly TextFault[]): void {
  if (faults.length > 0)
    throw new DocumentError(
      name,
      faults.map(({ at, what, mend }) => ({ line: 1, column: at + 1, path: '', what, mend })),
    );
}
