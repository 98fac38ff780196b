import { Body, Controller, Get, HttpCode, Param, Post, StreamableFile } from '@nestjs/common';
import { ReagentDto, ReagentRevisionDto, SourceDto } from '../../contract/catalogue.dto.js';
import {
  ApprovalDto,
  ComparisonDto,
  DecisionDto,
  NewDraftDto,
  NewDraftFromTextDto,
  ProtocolCheckDto,
  ProtocolFaultsDto,
  ProtocolSummaryDto,
  RevisionDto,
  SetFiguresDto,
} from '../../contract/protocols.dto.js';
import { Acting, Allow, OnceKey, SignedIn } from '../http/access.js';
import { type Columns, CsvAnswer, listFile, wholeOf } from '../http/csv-file.js';
import { ProtocolsService } from './protocols.service.js';
import { ReagentsService } from './reagents.service.js';

const PROTOCOL_COLUMNS: Columns<ProtocolSummaryDto> = {
  id: ({ id }) => id,
  title: ({ title }) => title,
  category: ({ category }) => category,
  setting: ({ setting }) => setting,
  'revision in force': ({ revisions }) => revisions.find(({ inForce }) => inForce)?.number,
  'in force since': ({ revisions }) => revisions.find(({ inForce }) => inForce)?.effectiveFrom,
  'newest revision': ({ revisions: [newest] }) => newest?.number,
  'newest stands as': ({ revisions: [newest] }) => newest?.state,
  'open proposals': ({ revisions: [newest] }) => newest?.openProposals,
};

@Controller()
export class ProtocolsController {
  constructor(
    private readonly protocols: ProtocolsService,
    private readonly reagentEntries: ReagentsService,
  ) {}

  /** Adds an entry to the catalogue of reagents, or revises the one of that code; earlier runs keep what they were judged by. */
  @Post('reagents')
  @Allow('manager', 'director')
  setReagent(@Acting() acting: Acting, @Body() body: ReagentDto, @OnceKey() key?: string): Promise<ReagentDto> {
    return this.reagentEntries.set(acting, body, key);
  }

  /** The catalogue of reagents. */
  @Get('reagents')
  @SignedIn()
  reagents(@Acting() acting: Acting): Promise<ReagentDto[]> {
    return this.protocols.reagents(acting);
  }

  /** Who of this laboratory added or revised an entry of the catalogue and when, the latest first. */
  @Get('reagents/revisions')
  @SignedIn()
  reagentRevisions(@Acting() acting: Acting): Promise<ReagentRevisionDto[]> {
    return this.reagentEntries.revisions(acting);
  }

  /** What the shipped figures rest on, by the keys that protocols name. */
  @Get('sources')
  @SignedIn()
  sources(): SourceDto[] {
    return this.protocols.sources();
  }

  @Get('protocols')
  @SignedIn()
  list(@Acting() acting: Acting): Promise<ProtocolSummaryDto[]> {
    return this.protocols.list(acting);
  }

  /** The same protocols as CSV. */
  @Get('protocols/list.csv')
  @SignedIn()
  @CsvAnswer()
  csv(@Acting() acting: Acting): Promise<StreamableFile> {
    return listFile(
      'protocols',
      PROTOCOL_COLUMNS,
      wholeOf(() => this.protocols.list(acting)),
    );
  }

  /** What is wrong with a protocol that is being written; keeps nothing. */
  @Post('protocols/checks')
  @HttpCode(200)
  @Allow('manager', 'director')
  check(@Acting() acting: Acting, @Body() body: ProtocolCheckDto): Promise<ProtocolFaultsDto> {
    return this.protocols.check(acting, body);
  }

  @Post('protocols/drafts')
  @Allow('manager', 'director')
  draft(@Acting() acting: Acting, @Body() body: NewDraftDto, @OnceKey() key?: string): Promise<RevisionDto> {
    return this.protocols.draft(acting, body, key);
  }

  @Post('protocols/drafts/from-text')
  @Allow('manager', 'director')
  draftFromText(
    @Acting() acting: Acting,
    @Body() body: NewDraftFromTextDto,
    @OnceKey() key?: string,
  ): Promise<RevisionDto> {
    return this.protocols.draftFromText(acting, body, key);
  }

  @Get('revisions/:id')
  @SignedIn()
  read(@Acting() acting: Acting, @Param('id') id: string): Promise<RevisionDto> {
    return this.protocols.read(acting, id);
  }

  /** Sets or confirms figures, which makes a new draft. */
  @Post('revisions/:id/figures')
  @Allow('manager', 'director')
  setFigures(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: SetFiguresDto,
    @OnceKey() key?: string,
  ): Promise<RevisionDto> {
    return this.protocols.setFigures(acting, id, body, key);
  }

  @Post('revisions/:id/review')
  @HttpCode(200)
  @Allow('manager', 'releaser', 'director')
  review(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: DecisionDto,
    @OnceKey() key?: string,
  ): Promise<RevisionDto> {
    return this.protocols.review(acting, id, body, key);
  }

  @Post('revisions/:id/approve')
  @HttpCode(200)
  @Allow('director')
  approve(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: ApprovalDto,
    @OnceKey() key?: string,
  ): Promise<RevisionDto> {
    return this.protocols.approve(acting, id, body, key);
  }

  @Post('revisions/:id/retire')
  @HttpCode(200)
  @Allow('director')
  retire(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: DecisionDto,
    @OnceKey() key?: string,
  ): Promise<RevisionDto> {
    return this.protocols.retire(acting, id, body, key);
  }

  /** Where two revisions of one protocol differ. */
  @Get('revisions/:a/compare/:b')
  @SignedIn()
  compare(@Acting() acting: Acting, @Param('a') a: string, @Param('b') b: string): Promise<ComparisonDto> {
    return this.protocols.compare(acting, a, b);
  }
}
