/** What a step is to be held at, or where a search begins. */
export type Level =
  | { readonly kind: 'power'; readonly power_W: number }
  | { readonly kind: 'voltage'; readonly voltage_V: number }
  /** A share of the power that an earlier climb found at one of its marks, channel by channel. */
  | { readonly kind: 'mark'; readonly climb: string; readonly percent: number; readonly share: number };

/** The same level, with the climb under the id that it has in one pass of the taps. */
export const levelInPass = <L extends Level | null>(level: L, suffix: string): L =>
  level?.kind === 'mark' ? { ...level, climb: level.climb + suffix } : level;
