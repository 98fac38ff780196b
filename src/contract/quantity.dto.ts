import type { Quantity } from '../core/recipe/quantity.js';
import { Finite, Text } from './shape.js';

/** A number with its unit. */
export class QuantityDto implements Quantity {
  @Finite() value: number;
  /** UCUM code, such as mL, g or {piece}. */
  @Text(30) unit: string;
}
