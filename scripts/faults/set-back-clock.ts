const Real = Date;

/** A wall clock that has been set back: everybody in this process who asks for the date gets an earlier one. */
export class SetBackClock {
  /** How often it was asked. */
  asked = 0;

  /** @param back_s how far */
  constructor(back_s: number) {
    const now = (): number => {
      this.asked += 1;
      return Real.now() - 1000 * back_s;
    };
    globalThis.Date = new Proxy(Real, {
      construct: (_, given: unknown[]) => Reflect.construct(Real, given.length === 0 ? [now()] : given),
      get: (real, name) => (name === 'now' ? now : Reflect.get(real, name)),
    });
  }

  restore(): void {
    globalThis.Date = Real;
  }
}
