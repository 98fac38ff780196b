import { Injectable } from '@nestjs/common';
import type {
  BuyingDto,
  NewBuyingDto,
  NewProductDto,
  NewStockPolicyDto,
  NewSupplierDto,
  ProductDto,
  StockPolicyDto,
  SupplierDto,
} from '../../contract/buying.dto.js';
import { microOf, quantityOf, USUAL_UNIT } from '../../core/ledger/amount.js';
import { Refusal } from '../../core/refusal.js';
import { wholeGtin } from '../../store/acts/receive-lot.js';
import { buyingOf, products, productsOf, stockPolicies, supplierOf, suppliers } from '../../store/questions/buying.js';
import { catalogue, needReagent } from '../../store/questions/reagents.js';
import { BuyingRow, ProductRow, StockPolicyRow, SupplierRow } from '../../store/rows/orders.entity.js';
import { Store } from '../../store/store.js';
import { type Acting, onceOf } from '../http/access.js';

/** Suppliers, their products, and how this laboratory buys and keeps stock. */
@Injectable()
export class BuyingService {
  constructor(private readonly store: Store) {}

  async suppliers({ laboratoryId }: Acting): Promise<SupplierDto[]> {
    return (await this.store.read(laboratoryId, suppliers)).map(supplierView);
  }

  /** Writes a supplier down, or anew. */
  async setSupplier(acting: Acting, body: NewSupplierDto, key?: string): Promise<SupplierDto> {
    const { code, name, approved } = body;
    const row = await this.store.change(
      acting,
      'supplier.set',
      async (unit) => {
        unit.about('supplier', code, { name, approved });
        return unit.insert(SupplierRow, {
          code,
          name,
          address: body.address ?? null,
          email: body.email ?? null,
          customerNumber: body.customerNumber ?? null,
          approved,
          at: unit.at,
          personId: unit.personId,
        });
      },
      onceOf(key, body),
    );
    return supplierView(row);
  }

  products({ laboratoryId }: Acting): Promise<ProductDto[]> {
    return this.store.read(laboratoryId, async (view) => {
      const units = new Map((await catalogue(view)).map(({ code, unit }) => [code, unit ?? USUAL_UNIT]));
      return (await products(view)).map((row) => productView(row, units.get(row.reagentCode) ?? USUAL_UNIT));
    });
  }

  /** Writes a product down, or anew, as when its price changed. */
  async setProduct(acting: Acting, body: NewProductDto, key?: string): Promise<ProductDto> {
    const { code, supplier, itemNumber, name, containers, priceCents, minimumPacks, leadDays, leadSdDays } = body;
    return this.store.change(
      acting,
      'product.set',
      async (unit) => {
        const reagent = await needReagent(unit, body.reagent);
        if (!(await supplierOf(unit, supplier))) {
          const known = (await suppliers(unit)).map((each) => each.code).join(', ');
          const right = known === '' ? 'write the supplier down first' : `there is ${known}`;
          throw refused('unknown-supplier', 'supplier', `"${supplier}" is no supplier here; ${right}.`);
        }
        const [before] = await productsOf(unit, [code]);
        if (before && before.reagentCode !== reagent.code) {
          const message = `${code} is ${before.reagentCode} already; another reagent is another product, so give it a code of its own.`;
          throw new Refusal('conflict', 'other-reagent', message, [{ at: 'reagent', message }]);
        }
        const declared = reagent.unit ?? USUAL_UNIT;
        const row = await unit.insert(ProductRow, {
          code,
          supplierCode: supplier,
          itemNumber,
          name,
          gtin: body.gtin === undefined ? null : wholeGtin(body.gtin),
          reagentCode: reagent.code,
          packContainers: containers,
          containerMicro: microOf(body.amount, declared, 'amount'),
          priceCents,
          minimumPacks,
          leadDays,
          leadSdDays,
          shelfLifeDays: body.shelfLifeDays ?? null,
          offered: body.offered,
          at: unit.at,
          personId: unit.personId,
        });
        unit.about('product', code, { supplier, itemNumber, priceCents });
        return productView(row, declared);
      },
      onceOf(key, body),
    );
  }

  policies({ laboratoryId }: Acting): Promise<StockPolicyDto[]> {
    return this.store.read(laboratoryId, async (view) => (await stockPolicies(view)).map(policyView));
  }

  /** Sets how a reagent is kept in stock. */
  async setPolicy(acting: Acting, reagent: string, body: NewStockPolicyDto, key?: string): Promise<StockPolicyDto> {
    const { product, ...policy } = body;
    return this.store.change(
      acting,
      'stock-policy.set',
      async (unit) => {
        await needReagent(unit, reagent);
        if (product !== undefined && (await productsOf(unit, [product]))[0]?.reagentCode !== reagent) {
          throw refused('unknown-product', 'product', `"${product}" is no product of ${reagent}; choose one that is.`);
        }
        unit.about('stock-policy', reagent, { ...policy });
        const { at, personId } = unit;
        const row = { reagentCode: reagent, ...policy, productCode: product ?? null, at, personId };
        return policyView(await unit.insert(StockPolicyRow, row));
      },
      onceOf(key, { reagent, ...body }),
    );
  }

  async buying({ laboratoryId }: Acting): Promise<BuyingDto> {
    const { currency, signedAboveCents, deliverTo } = await this.store.read(laboratoryId, buyingOf);
    return { currency, signedAboveCents, deliverTo };
  }

  /** Sets the currency, the limit above which the director signs, and where deliveries go. */
  async setBuying(acting: Acting, body: NewBuyingDto, key?: string): Promise<BuyingDto> {
    const { currency, signedAboveCents, deliverTo } = body;
    if (!Intl.supportedValuesOf('currency').includes(currency)) {
      throw refused('unknown-currency', 'currency', `"${currency}" is no currency of ISO 4217; give one such as EUR.`);
    }
    await this.store.change(
      acting,
      'buying.set',
      async (unit) => {
        const { at, personId, laboratoryId } = unit;
        await unit.insert(BuyingRow, { currency, signedAboveCents, deliverTo: deliverTo ?? null, at, personId });
        unit.about('laboratory', laboratoryId, { currency, signedAboveCents });
      },
      onceOf(key, body),
    );
    return this.buying(acting);
  }
}

function supplierView({ code, name, address, email, customerNumber, approved, at }: SupplierRow): SupplierDto {
  return { code, name, address, email, customerNumber, approved, at };
}

function productView(row: ProductRow, unit: string): ProductDto {
  return {
    code: row.code,
    supplier: row.supplierCode,
    itemNumber: row.itemNumber,
    name: row.name,
    gtin: row.gtin,
    reagent: row.reagentCode,
    containers: row.packContainers,
    amount: quantityOf(row.containerMicro, unit),
    priceCents: row.priceCents,
    minimumPacks: row.minimumPacks,
    leadDays: row.leadDays,
    leadSdDays: row.leadSdDays,
    shelfLifeDays: row.shelfLifeDays,
    offered: row.offered,
    at: row.at,
  };
}

function policyView(row: StockPolicyRow): StockPolicyDto {
  const { reagentCode, serviceLevel, coverDays, reviewDays, acceptanceDays, method, alpha, beta, productCode, at } =
    row;
  return {
    reagent: reagentCode,
    serviceLevel,
    coverDays,
    reviewDays,
    acceptanceDays,
    method,
    alpha,
    beta,
    ...(productCode !== null && { product: productCode }),
    at,
  };
}

function refused(code: string, at: string, message: string): Refusal {
  return new Refusal('invalid', code, message, [{ at, message }]);
}
