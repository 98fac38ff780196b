/** One stretch of a value: N digits, X of CSET 82, Y of CSET 39 or Z of base64url; the last may be of varying length. */
export interface Component {
  set: 'N' | 'X' | 'Y' | 'Z';
  min: number;
  max: number;
  optional: boolean;
  /** Names of content checks, see content.ts. */
  checks: string[];
}

export interface ApplicationIdentifier {
  ai: string;
  components: Component[];
  minLength: number;
  maxLength: number;
  /** Of predefined length, so that no separator is needed after it. */
  predefined: boolean;
  /** Each entry must be met by one of its alternatives; an alternative is one or more AIs or patterns such as 31nn. */
  requires: string[][][];
  /** AIs or patterns that may not stand beside it. */
  excludes: string[];
  /** Present when it may begin the path of a Digital Link: the ordered, optional qualifiers, by alternative. */
  linkKey?: string[][];
  /** May stand in the query of a Digital Link. */
  linkAttribute: boolean;
}

interface Rules {
  /** Alternatives by "|", AIs of one alternative joined by "+". */
  with?: string[];
  never?: string;
  key?: string;
  pathOnly?: true;
}

const ITEM = '01|02|03|8006|8026';
const MEASURED = '30|31nn|32nn|35nn|36nn';

/**
 * The AIs of the GS1 General Specifications, section 3, in the notation of its format column. Source of every row: GS1
 * Barcode Syntax Dictionary (Apache-2.0), github.com/gs1/gs1-syntax-dictionary. Words after a colon name content
 * checks. Lists of countries, currencies, banks, package types, media types and coupon codes are not judged.
 */
const ROWS: [ais: string, format: string, rules?: Rules][] = [
  ['00', 'N18:check', { key: '' }],
  ['01', 'N14:check', { never: '255|37', key: '22,10,21|235' }],
  ['02', 'N14:check', { with: ['37'], never: '01|03' }],
  ['03', 'N14:check', { never: '01|02|37', pathOnly: true }],
  ['10', 'X..20', { with: [ITEM] }],
  ['11', 'N6:date', { with: [ITEM] }],
  ['12', 'N6:date', { with: ['8020'] }],
  ['13', 'N6:date', { with: [ITEM] }],
  ['15', 'N6:date', { with: [ITEM] }],
  ['16', 'N6:date', { with: [ITEM] }],
  ['17', 'N6:date', { with: [`${ITEM}|255`] }],
  ['20', 'N2', { with: ['01|02|8006|8026'] }],
  ['21', 'X..20', { with: ['01|03|8006'], never: '235', pathOnly: true }],
  ['22', 'X..20', { with: ['01'], pathOnly: true }],
  ['235', 'X..28', { with: ['01'], pathOnly: true }],
  ['240', 'X..30', { with: ['01|02|8006|8026'] }],
  ['241', 'X..30', { with: ['01|02|8006|8026'] }],
  ['242', 'N..6', { with: ['01|02|8006|8026'] }],
  ['243', 'X..20', { with: ['01'] }],
  ['250', 'X..30', { with: ['01|8006', '21'] }],
  ['251', 'X..30', { with: ['01|8006'] }],
  ['253', 'N13:check [X..17]', { key: '' }],
  ['254', 'X..20', { with: ['414'], pathOnly: true }],
  ['255', 'N13:check [N..12]', { never: '01|02|415|8006|8020|8026', key: '' }],
  ['30', 'N..8', { with: ['01|02'] }],
  ...measures('310-316 320-329 350-352 356 357 360 361 364-366', '01|02'),
  ...measures('330-336 340-349 353-355 362 363 367-369', '00|01'),
  ...measures('337', '01'),
  ['37', 'N..8', { with: ['00', '02|8026'] }],
  ['3900-3909', 'N..15', { with: ['255|8020'], never: '390n|391n|394n|8111' }],
  ['3910-3919', 'N3 N..15', { with: ['8020'], never: '391n' }],
  ['3920-3929', 'N..15', { with: ['01', MEASURED], never: '392n|393n' }],
  ['3930-3939', 'N3 N..15', { with: [MEASURED], never: '393n' }],
  ['3940-3943', 'N4', { with: ['255'], never: '394n|8111' }],
  ['3950-3955', 'N6', { with: [MEASURED], never: '392n|393n|395n|8005' }],
  ['400', 'X..30'],
  ['401', 'X..30:company', { key: '' }],
  ['402', 'N17:check', { key: '' }],
  ['403', 'X..30', { with: ['00'] }],
  ['410-413', 'N13:check'],
  ['414', 'N13:check', { key: '254|7040' }],
  ['415', 'N13:check', { with: ['8020'], key: '8020' }],
  ['416', 'N13:check'],
  ['417', 'N13:check', { key: '7040' }],
  ['420', 'X..20', { never: '421' }],
  ['421', 'N3 X..9', { never: '4307' }],
  ['422', 'N3', { with: ['01|02|8006|8026'], never: '426' }],
  ['423', 'N3 [N3] [N3] [N3] [N3]', { with: ['01|02'], never: '426' }],
  ['424', 'N3', { with: ['01|02'], never: '426' }],
  ['425', 'N3 [N3] [N3] [N3] [N3]', { with: ['01|02'], never: '426' }],
  ['426', 'N3', { with: ['01|02'] }],
  ['427', 'X..3', { with: ['01|02', '422'] }],
  ['4300-4301', 'X..35:percent', { with: ['00'] }],
  ['4302', 'X..70:percent', { with: ['00'] }],
  ['4303', 'X..70:percent', { with: ['4302'] }],
  ['4304-4306', 'X..70:percent', { with: ['00'] }],
  ['4307', 'X2', { with: ['00'] }],
  ['4308', 'X..30', { with: ['00'] }],
  ['4309', 'N10:latitude N10:longitude', { with: ['00'] }],
  ['4310-4311', 'X..35:percent', { with: ['00'] }],
  ['4312', 'X..70:percent', { with: ['00'] }],
  ['4313', 'X..70:percent', { with: ['4312'] }],
  ['4314-4316', 'X..70:percent', { with: ['00'] }],
  ['4317', 'X2', { with: ['00'] }],
  ['4318', 'X..20', { with: ['00'] }],
  ['4319', 'X..30', { with: ['00'] }],
  ['4320', 'X..35:percent', { with: ['00'] }],
  ['4321-4323', 'N1:yes-no', { with: ['00'] }],
  ['4324-4325', 'N6:date N4:time', { with: ['00'] }],
  ['4326', 'N6:day', { with: ['00'] }],
  ['4330', 'N6 [X1:hyphen]', { with: ['00'], never: '4331' }],
  ['4331', 'N6 [X1:hyphen]', { with: ['00'], never: '4330' }],
  ['4332', 'N6 [X1:hyphen]', { with: ['00'], never: '4333' }],
  ['4333', 'N6 [X1:hyphen]', { with: ['00'], never: '4332' }],
  ['7001', 'N13', { with: ['01|02|8006|8026'] }],
  ['7002', 'X..30', { with: ['01|02'] }],
  ['7003', 'N6:day N4:time', { with: ['01|02|03'] }],
  ['7004', 'N..4', { with: ['01', '10'] }],
  ['7005', 'X..12', { with: ['01|02'] }],
  ['7006', 'N6:day', { with: ['01|02'] }],
  ['7007', 'N6:day [N6:day]', { with: ['01|02'] }],
  ['7008', 'X..3', { with: ['01|02'] }],
  ['7009', 'X..10', { with: ['01|02'] }],
  ['7010', 'X..2', { with: ['01|02'] }],
  ['7011', 'N6:day [N4:time]', { with: ['01|02'] }],
  ['7020', 'X..20', { with: ['01|8006', '416'] }],
  ['7021', 'X..20', { with: ['01|8006'] }],
  ['7022', 'X..20', { with: ['7021'] }],
  ['7023', 'X..30:company'],
  ['7030-7039', 'N3 X..27', { with: ['01|02'] }],
  ['7040', 'N1 X1 X1 X1', { pathOnly: true }],
  ['7041', 'X..4', { with: ['00'], pathOnly: true }],
  ['710-716', 'X..20', { with: ['01'] }],
  ['7230-7239', 'X2 X..28', { with: ['01|8004'] }],
  ['7240', 'X..20', { with: ['01|8006'] }],
  ['7241', 'N2', { with: ['8017|8018'] }],
  ['7242', 'X..25', { with: ['8017|8018'] }],
  ['7250', 'N8:long-day', { with: ['8018'], never: '7251' }],
  ['7251', 'N8:long-day N4:time', { with: ['8018'], never: '7250' }],
  ['7252', 'N1', { with: ['8018'] }],
  ['7253-7254', 'X..40:percent', { with: ['8017|8018'], never: '7256|7259' }],
  ['7255', 'X..10', { with: ['8017|8018'], never: '7256|7259' }],
  ['7256', 'X..90:percent', { with: ['8017|8018'] }],
  ['7257', 'X..70:percent', { with: ['8018'] }],
  ['7258', 'X3', { with: ['8018+7259'] }],
  ['7259', 'X..40:percent', { with: ['8018'], never: '7256' }],
  ['8001', 'N4:not-zero N5:not-zero N3:not-zero N1:winding N1', { with: ['01'] }],
  ['8002', 'X..20'],
  ['8003', 'N1:zero N13:check [X..16]', { key: '' }],
  ['8004', 'X..30:company', { key: '7040' }],
  ['8005', 'N6', { with: ['01|02'] }],
  ['8006', 'N14:check N4:piece', { never: '01|37', key: '22,10,21' }],
  ['8007', 'X..34', { with: ['415'] }],
  ['8008', 'N6:day N2:hour [N2:minute] [N2:minute]', { with: ['01|02'] }],
  ['8009', 'X..50', { with: ['00|01'] }],
  ['8010', 'Y..30:company', { key: '8011' }],
  ['8011', 'N..12:no-leading-zero', { with: ['8010'], pathOnly: true }],
  ['8012', 'X..20', { with: ['01|8006'] }],
  ['8013', 'X..25:pair:company', { key: '' }],
  ['8014', 'X..25:pair:company:letter', { with: ['01'], pathOnly: true }],
  ['8017', 'N18:check', { never: '8018', key: '8019' }],
  ['8018', 'N18:check', { never: '8017', key: '8019' }],
  ['8019', 'N..10', { with: ['8017|8018'], pathOnly: true }],
  ['8020', 'X..25', { with: ['415'], pathOnly: true }],
  ['8026', 'N14:check N4:piece', { with: ['37'], never: '02|8006' }],
  ['8030', 'Z..90', { with: ['00|01+21|253|255|8003|8004|8006+21|8010+8011|8017|8018'] }],
  ['8110', 'X..70'],
  ['8111', 'N4', { with: ['255'] }],
  ['8112', 'X..70'],
  ['8200', 'X..70', { with: ['01'], pathOnly: true }],
  ['90', 'X..30'],
  ['91-99', 'X..90'],
];

/** Weights and measures: six digits, of which the last digit of the AI says how many are decimals. */
function measures(prefixes: string, owner: string): typeof ROWS {
  return prefixes
    .split(' ')
    .flatMap(expand)
    .map((prefix) => [`${prefix}0-${prefix}5`, 'N6', { with: [owner], never: `${prefix}n` }]);
}

/** Source: GS1 General Specifications, section 7.8 (element strings with predefined length), by the first two digits. */
const PREDEFINED = /^(0[0-4]|1[1-9]|20|3[1-6]|41)/;

const TABLE = new Map(
  ROWS.flatMap(([ais, format, rules]) => expand(ais).map((ai) => [ai, identifier(ai, format, rules ?? {})])),
);

/** All AIs with the same first two digits have the same length. Source: GS1 General Specifications, section 7.8. */
const LENGTH_BY_PREFIX = new Map([...TABLE.keys()].map((ai) => [ai.slice(0, 2), ai.length]));

/** What the trade calls the elements that a laboratory meets; the others go by their number. */
const NAMES: Record<string, string> = {
  '00': 'SSCC',
  '01': 'GTIN',
  '02': 'contained GTIN',
  '10': 'lot',
  '11': 'production date',
  '13': 'packaging date',
  '15': 'best before',
  '16': 'sell by',
  '17': 'expiry',
  '21': 'serial',
  '30': 'count',
  '37': 'count of contained items',
  '240': 'additional item number',
  '241': 'customer part number',
  '410': 'ship-to location',
  '414': 'location',
  '7003': 'expiry with time',
};

/** The AI with exactly this number, or undefined. `identifierOf('17')?.minLength` is 6. */
export function identifierOf(ai: string): ApplicationIdentifier | undefined {
  return TABLE.get(ai);
}

/** The AI with which this text begins, or undefined. `identifierAtStart('3103000195')?.ai` is '3103'. */
export function identifierAtStart(text: string): ApplicationIdentifier | undefined {
  return TABLE.get(text.slice(0, LENGTH_BY_PREFIX.get(text.slice(0, 2)) ?? 0));
}

/** How a sentence names an AI. `named('10')` is 'lot (10)', `named('8005')` is '(8005)'. */
export function named(ai: string): string {
  const name = NAMES[ai];
  return name === undefined ? `(${ai})` : `${name} (${ai})`;
}

/** The AI numbers of a range: `expand('410-413')` is ['410', '411', '412', '413']. */
function expand(range: string): string[] {
  const [first = '', last = first] = range.split('-');
  return Array.from({ length: Number(last) - Number(first) + 1 }, (_, i) =>
    String(Number(first) + i).padStart(first.length, '0'),
  );
}

function identifier(ai: string, format: string, rules: Rules): ApplicationIdentifier {
  const components = format.split(' ').map(component);
  return {
    ai,
    components,
    minLength: components.reduce((sum, c) => sum + (c.optional ? 0 : c.min), 0),
    maxLength: components.reduce((sum, c) => sum + c.max, 0),
    predefined: PREDEFINED.test(ai),
    requires: (rules.with ?? []).map((need) => need.split('|').map((alternative) => alternative.split('+'))),
    excludes: rules.never?.split('|') ?? [],
    ...(rules.key !== undefined && {
      linkKey: rules.key.split('|').map((q) => q.split(',').filter((ai) => ai !== '')),
    }),
    linkAttribute: !rules.pathOnly,
  };
}

function component(notation: string): Component {
  const optional = notation.startsWith('[');
  const [type = '', ...checks] = notation.replace(/[[\]]/g, '').split(':');
  const max = Number(type.replace(/^\D+/, ''));
  return { set: type.charAt(0) as Component['set'], min: type.includes('..') ? 1 : max, max, optional, checks };
}
