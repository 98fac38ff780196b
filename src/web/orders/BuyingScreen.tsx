import { useState } from 'react';
import { useSession } from '../app/session.js';
import type { Buying, Product, Supplier } from '../api.paths.js';
import { useCatalogue } from '../bench/bench.js';
import { Button } from '../parts/Button.js';
import { Nothing, Page, Part, Tag, Waiting } from '../parts/Page.js';
import { amountText, moneyText, numberText } from './amounts.js';
import { ProductSheet, RulesSheet, SupplierSheet } from './buying-sheets.js';
import { useBuying, useProducts, useSuppliers } from './orders.js';
import './orders.css';
import { ORDERS } from './words.js';

const words = ORDERS.buying;

type Asked = { supplier: Supplier | null } | { product: Product | null } | { rules: Buying };

/** Who sells what, and how this laboratory buys. */
export default function BuyingScreen() {
  const { may } = useSession();
  const suppliers = useSuppliers();
  const products = useProducts();
  const buying = useBuying();
  const [asked, setAsked] = useState<Asked | null>(null);
  const writing = may('manager', 'director');
  const close = (): void => setAsked(null);
  return (
    <Page title={words.title} about={<p>{words.about}</p>}>
      <Part title={words.suppliers}>
        {!suppliers.data && <Waiting error={suppliers.error} onRetry={() => void suppliers.refetch()} />}
        {suppliers.data?.length === 0 && (
          <Nothing title={words.noSuppliers}>
            <p>{words.noSuppliersHelp}</p>
          </Nothing>
        )}
        <ul className="lines">
          {suppliers.data?.map((supplier) => (
            <li key={supplier.code} className="proposal">
              <p className="tag-line">
                <span className="line-title">{supplier.name}</span>
                {!supplier.approved && <Tag frame="double">{words.notApproved}</Tag>}
              </p>
              <span className="small address">{supplier.address}</span>
              <span className="small">{supplier.email}</span>
              {writing && (
                <Button aria-label={words.changeOne(supplier.name)} onPress={() => setAsked({ supplier })}>
                  {words.change}
                </Button>
              )}
            </li>
          ))}
        </ul>
        {writing && (
          <div>
            <Button onPress={() => setAsked({ supplier: null })}>{words.addSupplier}</Button>
          </div>
        )}
      </Part>
      <Part title={words.products}>
        {!products.data && <Waiting error={products.error} onRetry={() => void products.refetch()} />}
        {products.data?.length === 0 && (
          <Nothing title={words.noProducts}>
            <p>{words.noProductsHelp}</p>
          </Nothing>
        )}
        <ul className="lines">
          {products.data?.map((product) => (
            <ProductLine
              key={product.code}
              product={product}
              supplier={suppliers.data?.find(({ code }) => code === product.supplier)?.name ?? product.supplier}
              currency={buying.data?.currency ?? 'EUR'}
              {...(writing && { onChange: () => setAsked({ product }) })}
            />
          ))}
        </ul>
        {writing && (suppliers.data?.length ?? 0) > 0 && (
          <div>
            <Button onPress={() => setAsked({ product: null })}>{words.addProduct}</Button>
          </div>
        )}
      </Part>
      <Part title={words.rules}>
        {buying.data && (
          <dl className="facts">
            <div>
              <dt>{words.currency}</dt>
              <dd>{buying.data.currency}</dd>
            </div>
            <div>
              <dt>{words.limit}</dt>
              <dd className="figures">{moneyText(buying.data.signedAboveCents, buying.data.currency)}</dd>
            </div>
            {buying.data.deliverTo !== null && (
              <div>
                <dt>{words.deliverTo}</dt>
                <dd className="address">{buying.data.deliverTo}</dd>
              </div>
            )}
          </dl>
        )}
        {may('director') && buying.data && (
          <div>
            <Button onPress={() => setAsked({ rules: buying.data })}>{words.setRules}</Button>
          </div>
        )}
      </Part>
      {asked && 'supplier' in asked && <SupplierSheet supplier={asked.supplier} onClose={close} />}
      {asked && 'product' in asked && <ProductSheet product={asked.product} onClose={close} />}
      {asked && 'rules' in asked && <RulesSheet rules={asked.rules} onClose={close} />}
    </Page>
  );
}

function ProductLine({
  product,
  supplier,
  currency,
  onChange,
}: {
  product: Product;
  supplier: string;
  currency: string;
  onChange?: () => void;
}) {
  const { name } = useCatalogue();
  const { amount, containers, minimumPacks, shelfLifeDays } = product;
  const terms = [
    words.lead(`${numberText(product.leadDays)} ± ${numberText(product.leadSdDays)}`),
    ...(minimumPacks > 1 ? [words.atLeast(minimumPacks)] : []),
    ...(shelfLifeDays === null ? [] : [words.shelfLife(shelfLifeDays)]),
  ];
  return (
    <li className="proposal">
      <p className="tag-line">
        <span className="line-title">{product.name}</span>
        {!product.offered && <Tag frame="soft">{words.notOffered}</Tag>}
      </p>
      <span>
        {name(product.reagent)}
        <span className="small order-more">
          {supplier}, {product.itemNumber}
        </span>
      </span>
      <span>
        <span className="figures">{moneyText(product.priceCents, currency)}</span>{' '}
        <span className="small">
          {containers} × {amountText(amount.value, amount.unit)}
        </span>
        <span className="small order-more">{terms.join(', ')}</span>
      </span>
      {onChange && (
        <Button aria-label={words.changeOne(product.name)} onPress={onChange}>
          {words.change}
        </Button>
      )}
    </li>
  );
}
