import { Controller, Get, Param, Query, StreamableFile } from '@nestjs/common';
import { ApiOkResponse, ApiProduces } from '@nestjs/swagger';
import { DisclosureDto } from '../../contract/fhir.dto.js';
import { runBundle } from '../../core/fhir/bundle.js';
import { KNOW_THE_PATIENT } from '../../core/people/roles.js';
import { Refusal } from '../../core/refusal.js';
import { runSource } from '../../store/questions/run-source.js';
import { Store } from '../../store/store.js';
import { Acting, SignedIn } from '../http/access.js';

/** The media type of FHIR in JSON (http://hl7.org/fhir/R4/http.html#mime-type). */
const FHIR_JSON = 'application/fhir+json';

/** A run for other programs, in FHIR R4. */
@Controller()
export class FhirController {
  constructor(private readonly store: Store) {}

  /** A run as a FHIR R4 bundle, patients masked unless one asks otherwise and may know them. */
  @Get('runs/:id/fhir')
  @SignedIn()
  @ApiProduces(FHIR_JSON)
  @ApiOkResponse({ schema: { type: 'object', additionalProperties: true } })
  async run(
    @Acting() { laboratoryId, roles }: Acting,
    @Param('id') id: string,
    @Query() disclosure: DisclosureDto,
  ): Promise<StreamableFile> {
    if (disclosure.identifiers === 'included' && !roles.some((role) => KNOW_THE_PATIENT.includes(role))) {
      throw new Refusal(
        'forbidden',
        'identifiers-not-allowed',
        `Patients' identifiers are for the roles ${KNOW_THE_PATIENT.join(', ')}; ask with identifiers=masked.`,
        [{ at: 'identifiers', message: 'ask for masked' }],
      );
    }
    const source = await this.store.read(laboratoryId, (view) => runSource(view, id));
    return new StreamableFile(Buffer.from(JSON.stringify(runBundle(source, disclosure))), {
      type: `${FHIR_JSON}; charset=utf-8; fhirVersion=4.0`,
      disposition: `attachment; filename="run-${id}.fhir.json"`,
    });
  }
}
