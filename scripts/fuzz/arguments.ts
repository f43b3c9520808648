/** What `npm run fuzz` was asked for. */
export interface Asked {
  readonly cases: number;
  readonly seed: number;
  /** Names of the readers to try. */
  readonly only: readonly string[];
  /** One case of one reader, as a failure names it. */
  readonly path: string | null;
}

/** The command line cannot be carried out. */
export class BadArguments extends Error {
  override readonly name = 'BadArguments';
}

function wholeNumber(option: string, text: string | undefined, least: number): number {
  const value = Number(text);
  if (text === undefined || !Number.isSafeInteger(value) || value < least || value > 2 ** 31 - 1)
    throw new BadArguments(`${option} takes a whole number from ${least} up, got ${text ?? 'nothing'}`);
  return value;
}

/** @throws BadArguments */
export function parseArguments(given: readonly string[], known: readonly string[]): Asked {
  let [cases, seed, path, only] = [100_000, 1, null as string | null, known];
  for (let i = 0; i < given.length; i += 2) {
    const [option, text] = [given[i]!, given[i + 1]];
    if (option === '--cases') cases = wholeNumber(option, text, 1);
    else if (option === '--seed') seed = wholeNumber(option, text, 0);
    else if (option === '--path' && text) path = text;
    else if (option === '--only' && text) only = text.split(',');
    else
      throw new BadArguments(
        `${option} is not known, or lacks its value; known: --cases --only --seed --path`,
      );
  }
  const stranger = only.find((name) => !known.includes(name));
  if (stranger) throw new BadArguments(`--only ${stranger}: there are ${known.join(', ')}`);
  if (path !== null && only.length !== 1)
    throw new BadArguments('--path needs one reader: give it with --only');
  return { cases, seed, only, path };
}
