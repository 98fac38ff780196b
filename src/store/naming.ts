import { DefaultNamingStrategy } from 'typeorm';
import { snakeCase } from 'typeorm/util/StringUtils.js';

/** Columns are snake_case on both databases; tables say their own names. */
export class SnakeNames extends DefaultNamingStrategy {
  override columnName(propertyName: string, customName: string): string {
    return customName || snakeCase(propertyName);
  }
}
