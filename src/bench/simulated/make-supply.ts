import type { Supply } from './supply.js';
import type { RegulatedTwin, SupplyTwin } from './twin.js';
import { UnregulatedSupply } from './unregulated-supply.js';

class RegulatedSupply implements Supply {
  readonly stiff = true;
  readonly hum_V = 0;
  readonly positive_V: number;
  readonly negative_V: number;

  constructor(twin: RegulatedTwin) {
    this.positive_V = twin.positive_V;
    this.negative_V = twin.negative_V;
  }

  step(): void {}
  rest(): void {}
}

export function makeSupply(twin: SupplyTwin): Supply {
  return twin.kind === 'regulated' ? new RegulatedSupply(twin) : new UnregulatedSupply(twin);
}
