import type { Protocol, Step } from '../../core/protocol/protocol.js';
import { useCatalogue } from '../bench/bench.js';
import { Tag } from '../parts/Page.js';
import { FigureStanding, Sources } from './Standing.js';
import { degreesText } from './protocols.js';
import { PROTOCOLS } from './words.js';

const words = PROTOCOLS.page;

/** The steps of a protocol with every figure and where it comes from. */
export function StepsTable({ protocol }: { protocol: Protocol }) {
  const { name } = useCatalogue();
  const gaps = protocol.steps.some(({ gap }) => gap);
  const temperatures = protocol.steps.some(({ temperature }) => temperature);
  return (
    <div className="table-place">
      <table className="protocol-steps">
        <thead>
          <tr>
            <th scope="col">{words.step}</th>
            <th scope="col">{words.reagent}</th>
            <th scope="col">{words.target}</th>
            <th scope="col">{words.window}</th>
            {gaps && <th scope="col">{words.gap}</th>}
            {temperatures && <th scope="col">{words.temperature}</th>}
            <th scope="col">{words.end}</th>
            <th scope="col">{words.sources}</th>
          </tr>
        </thead>
        <tbody>
          {protocol.steps.map((step, index) => (
            <tr key={step.id}>
              <th scope="row">
                <span className="step-number">{index + 1}</span>
                <span>
                  {step.action}
                  <span className="small step-more-words">
                    {[step.vessel, step.dips !== undefined && words.dips(step.dips), step.agitation]
                      .filter(Boolean)
                      .join(' · ')}
                  </span>
                  {step.note && <span className="small step-more-words">{step.note}</span>}
                </span>
              </th>
              <td data-label={words.reagent}>
                {step.reagent && <strong>{name(step.reagent)}</strong>}
                {step.concentration && (
                  <span className="figure">
                    {step.concentration.text} <FigureStanding status={step.concentration.status} />
                  </span>
                )}
              </td>
              <td data-label={words.target}>
                <span className="figure">
                  <span className="figures">
                    {step.time.target} {step.time.unit}
                  </span>{' '}
                  <FigureStanding status={step.time.status} />
                </span>
              </td>
              <td data-label={words.window}>
                <span className="figure">
                  <span className="figures">{windowText(step)}</span>{' '}
                  {(step.time.min !== undefined || step.time.max !== undefined) && (
                    <FigureStanding status={step.time.window} />
                  )}
                </span>
              </td>
              {gaps && (
                <td data-label={words.gap}>
                  {step.gap && (
                    <span className="figure">
                      <span className="figures">{words.atMost(`${step.gap.max} ${step.gap.unit}`)}</span>{' '}
                      <FigureStanding status={step.gap.status} />
                      <span className="small">{step.gap.why}</span>
                    </span>
                  )}
                </td>
              )}
              {temperatures && (
                <td data-label={words.temperature}>
                  {step.temperature && (
                    <span className="figure">
                      <span className="figures">{temperatureText(step.temperature)}</span>{' '}
                      <FigureStanding status={step.temperature.status} />
                      {step.temperature.record && <span className="small">{words.record}</span>}
                    </span>
                  )}
                </td>
              )}
              <td data-label={words.end}>
                {step.end === 'eye' ? words.byEye : words.byClock}
                {step.critical && (
                  <>
                    {' '}
                    <Tag>{words.critical}</Tag>
                  </>
                )}
                {step.offence && <span className="small"> {words.caution}</span>}
                {step.optional && <span className="small"> {words.optional}</span>}
              </td>
              <td data-label={words.sources}>
                <Sources keys={step.sources} />
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

function windowText({ time: { min, max, unit } }: Step): string {
  if (min !== undefined && max !== undefined) return `${words.range(String(min), String(max))} ${unit}`;
  if (min !== undefined) return words.atLeast(`${min} ${unit}`);
  return max === undefined ? words.noLimits : words.atMost(`${max} ${unit}`);
}

function temperatureText({ target, min, max, unit }: NonNullable<Step['temperature']>): string {
  const degrees = degreesText(unit);
  const limits = min === undefined && max === undefined ? '' : ` (${words.range(`${min ?? '…'}`, `${max ?? '…'}`)})`;
  return `${target}${limits} ${degrees}`;
}
