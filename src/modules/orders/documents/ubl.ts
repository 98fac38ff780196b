import { create } from 'xmlbuilder2';
import { quantityOf } from '../../../core/ledger/amount.js';
import { decimal, type OrderPaper, type Party } from './order-paper.js';

const ORDER = 'urn:oasis:names:specification:ubl:schema:xsd:Order-2';
const CAC = 'urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2';
const CBC = 'urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2';

/** UN/ECE Recommendation 20 codes of the UCUM units that reagents are counted in; from memory. */
const UNECE: Record<string, string> = {
  L: 'LTR',
  mL: 'MLT',
  uL: '4G',
  kg: 'KGM',
  g: 'GRM',
  mg: 'MGM',
  '1': 'C62',
  '{piece}': 'H87',
  '{slide}': 'H87',
  '{test}': 'H87',
};
/** A package, by Recommendation 21 with the X that Recommendation 20 puts before it; from memory. */
const PACKAGE = 'XPK';

/** Elements by name, in the order of the schema; absent ones are left out, since UBL knows no empty elements. */
type Node = { [name: string]: Node | Node[] | string | number | undefined };

/** The order as a UBL 2.1 Order (OASIS Standard; ISO/IEC 19845:2015). */
export function orderUbl(paper: OrderPaper): string {
  const { number, day, wantedBy, currency, totalCents, buyer, customerNumber, supplier, lines } = paper;
  const amount = (cents: number): Node => ({ '@currencyID': currency, '#': decimal(cents) });
  const order: Node = {
    'cbc:UBLVersionID': '2.1',
    'cbc:ID': number,
    'cbc:IssueDate': day,
    'cbc:DocumentCurrencyCode': currency,
    'cbc:LineCountNumeric': lines.length,
    'cac:BuyerCustomerParty': {
      'cbc:SupplierAssignedAccountID': customerNumber ?? undefined,
      'cac:Party': partyOf(buyer),
    },
    'cac:SellerSupplierParty': {
      'cac:Party': {
        ...partyOf(supplier),
        'cac:Contact': supplier.email === null ? undefined : { 'cbc:ElectronicMail': supplier.email },
      },
    },
    'cac:Delivery': wantedBy === null ? undefined : { 'cac:RequestedDeliveryPeriod': { 'cbc:EndDate': wantedBy } },
    'cac:AnticipatedMonetaryTotal': {
      'cbc:LineExtensionAmount': amount(totalCents),
      'cbc:PayableAmount': amount(totalCents),
    },
    'cac:OrderLine': lines.map((line, index) => {
      const held = quantityOf(line.containerMicro, line.unit).value;
      const code = UNECE[line.unit];
      return {
        'cac:LineItem': {
          'cbc:ID': index + 1,
          'cbc:Quantity': { '@unitCode': PACKAGE, '#': line.packs },
          'cbc:LineExtensionAmount': amount(line.packs * line.priceCents),
          'cac:Price': {
            'cbc:PriceAmount': amount(line.priceCents),
            'cbc:BaseQuantity': { '@unitCode': PACKAGE, '#': 1 },
          },
          'cac:Item': {
            'cbc:Description': `${line.packContainers} × ${held} ${line.unit} a pack`,
            'cbc:PackQuantity': code === undefined ? undefined : { '@unitCode': code, '#': held },
            'cbc:PackSizeNumeric': line.packContainers,
            'cbc:Name': line.name,
            'cac:BuyersItemIdentification': { 'cbc:ID': line.productCode },
            'cac:SellersItemIdentification': { 'cbc:ID': line.itemNumber },
            'cac:StandardItemIdentification':
              line.gtin === null ? undefined : { 'cbc:ID': { '@schemeID': 'GTIN', '#': line.gtin } },
          },
        },
      };
    }),
  };
  const root = { Order: { '@xmlns': ORDER, '@xmlns:cac': CAC, '@xmlns:cbc': CBC, ...present(order) } };
  return create({ version: '1.0', encoding: 'UTF-8' }, root).end({ prettyPrint: true });
}

function partyOf({ name, address }: Party): Node {
  const lines = address === null ? [] : linesOf(address);
  return {
    'cac:PartyName': { 'cbc:Name': name },
    'cac:PostalAddress':
      lines.length === 0 ? undefined : { 'cac:AddressLine': lines.map((line) => ({ 'cbc:Line': line })) },
  };
}

function linesOf(text: string): string[] {
  return text
    .split('\n')
    .map((line) => line.trim())
    .filter((line) => line !== '');
}

function present(node: Node): Node {
  return Object.fromEntries(
    Object.entries(node).flatMap(([name, value]): [string, Node[string]][] => {
      if (value === undefined) return [];
      if (Array.isArray(value)) return [[name, value.map(present)]];
      return [[name, typeof value === 'object' ? present(value) : value]];
    }),
  );
}
