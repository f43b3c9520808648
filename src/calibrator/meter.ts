/** What a person at the bench is asked to read off an instrument. Readings are rms volts, ohms, degrees Celsius. */
export type MeterQuestion =
  /** Volts at an interface output while its tone plays. */
  | { readonly kind: 'output-volts'; readonly channel: number; readonly frequency_Hz: number }
  /** Four-wire ohms at the load's own terminals; `hot`: right after it has been warmed. */
  | {
      readonly kind: 'load-ohms';
      readonly channel: number;
      readonly nominal_ohm: number;
      readonly state: 'cold' | 'hot';
    }
  /** Magnitude of the load's impedance at a frequency, from a bridge or an impedance meter. */
  | {
      readonly kind: 'load-impedance';
      readonly channel: number;
      readonly nominal_ohm: number;
      readonly frequency_Hz: number;
    }
  /** Of a load, at its body. */
  | {
      readonly kind: 'temperature';
      readonly channel: number;
      readonly nominal_ohm: number;
      readonly state: 'cold' | 'hot';
    };

/**
 * Whoever reads the meter and moves the cables: a person at a terminal, a journal of what a person has
 * answered before, or the simulated bench's own meter.
 */
export interface Meter {
  /** @param text the question as a person is asked it @throws when nobody is there to answer */
  read(question: MeterQuestion, text: string): Promise<number>;
  /** Has something done by hand, or makes sure that it is so. False: it was not confirmed. */
  confirm(text: string): Promise<boolean>;
  /** Takes back the answers to a question that could not be right, where answers are kept. */
  withdraw?(question: MeterQuestion, text: string): Promise<void>;
}
