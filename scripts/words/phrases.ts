/** A phrase that a reader would ask about, and what to write. */
interface Rule {
  readonly pattern: RegExp;
  readonly instead: string;
}

const rule = (pattern: RegExp, instead: string): Rule => ({ pattern, instead });
const ORDER =
  'level|power|powers|voltage|load|gain|ratio|frequency|watts|time|uncertainty|value|values|current|distortion';

/** Whole phrases only: most single words are right somewhere ("at least", "degrees of freedom"). */
const RULES: readonly Rule[] = [
  rule(new RegExp(`(?<!\\bat )\\b(least|most) (${ORDER})\\b`, 'i'), 'minimum, maximum, lowest, highest'),
  rule(/\basked for\b|\bask(s|ing)? for (more|less|a level|a power)\b/i, 'requested, target'),
  rule(/\b(honest|conservative) rating\b|\b(honestly|conservatively) rated\b/i, 'rating'),
  rule(/\b(power kept|kept power|ceilings?)\b|\bwhat the unit delivers\b/i, 'maximum power'),
  rule(
    /\b(a|the|one|two|three|each|every|first|second|last|this|that|more|few) looks?\b(?! at\b| for\b| like\b)/i,
    'capture',
  ),
  rule(/\bcurrent taps?\b/i, 'current shunt; "current sensing" for the capability'),
  rule(
    /\b(a|an|the|each|every|no|this|that|its|of|named) probes?\b|\bprobes? VALUE\b|\bprobes (are|that|of|in|on)\b/i,
    'sensor',
  ),
  rule(/(?<!\bdegrees of )\bfreedom\b/i, 'degrees of freedom'),
  rule(/\blozenges?\b/i, 'diamond'),
  rule(/\bhardness\b/i, '0.1 to 1 % interval'),
  rule(/\bthe bench's own\b|\bthe bench itself distorts\b|\bits own distortion\b/i, 'residual of the bench'),
  rule(/\bholds? until\b/i, 'calibration due'),
  rule(/\bnobody (is |was )?(there|about|at hand)\b/i, 'nobody present, unattended'),
  rule(/\b(go|goes|going|went|gone) on\b(?! to\b)/i, 'continue, resume'),
  rule(/\b(mend|mends|mended|mending)\b/i, 'correct, fix'),
  rule(/\b(cannot|could not|can not) tell\b/i, 'inconclusive'),
  rule(/\b(is|are|was) taken to be\b|\bis the one that is named\b/i, 'assumed'),
  rule(/\bdegC\b/, '°C'),
  rule(/\bbrought along\b/i, 'supplied after the run'),
  rule(/\bbroken off\b/i, 'interrupted'),
  rule(
    /\b(walked|walks) (through )?(the |its |every )?(sequence|steps?|plan)\b|\b(step|sequence|plan)s? (was|were|is|are) walked\b/i,
    'completed',
  ),
  rule(/\bfor ever\b/i, 'continuous'),
  rule(/\b(comes|came|come) to (VALUE|\d)/i, 'is'),
  rule(/\bat (its|their|the) weakest\b/i, 'lowest measured'),
  rule(/\bstands it\b|\bwithin what it stands\b/i, 'within all ratings'),
  rule(/\bis heard (at|on|by)\b|\bare heard (at|on|by)\b/i, 'appears on'),
  rule(/\bnot stated whose\b/i, 'assumed per channel (not stated)'),
  rule(/\bnothing cancels\b/i, 'calibration errors do not cancel'),
  rule(
    /(?<!\bthere )\b(is|are|was|were) no (?!(longer|more|less|other|single|later|lower|higher|negative|amplifier)\b)[a-z]+/i,
    'is not a …',
  ),
  rule(/\bfor want of\b/i, 'because … is missing'),
];

/** The listed phrases in a text, as they stand there. */
export function foundPhrases(text: string): { readonly phrase: string; readonly instead: string }[] {
  const plain = text.replace(/\s+/g, ' ');
  return RULES.flatMap(({ pattern, instead }) => {
    const [phrase] = pattern.exec(plain) ?? [];
    return phrase === undefined ? [] : [{ phrase, instead }];
  });
}
