import { Body, Controller, Get, HttpCode, Param, Post } from '@nestjs/common';
import { NewRunPictureDto, RunPictureBackDto, RunPicturesDto } from '../../contract/run-pictures.dto.js';
import { Acting, Allow, OnceKey, SignedIn } from '../http/access.js';
import { RunPicturesService } from './run-pictures.service.js';

@Controller('runs/:id/pictures')
export class RunPicturesController {
  constructor(private readonly pictures: RunPicturesService) {}

  /** Pictures of what a run stained, and those of controls of its stain and day that may stand beside them. */
  @Get()
  @SignedIn()
  list(@Acting() acting: Acting, @Param('id') id: string): Promise<RunPicturesDto> {
    return this.pictures.list(acting, id);
  }

  /** Keeps a picture of a specimen, slide or control of the run, to be looked at. It is not measured. */
  @Post()
  @Allow('technician', 'releaser')
  keep(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: NewRunPictureDto,
    @OnceKey() key?: string,
  ): Promise<RunPicturesDto> {
    return this.pictures.keep(acting, id, body, key);
  }

  /** Takes a picture back, such as one of another slide; it stays in the record. */
  @Post(':picture/back')
  @HttpCode(200)
  @Allow('technician', 'releaser')
  takeBack(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Param('picture') picture: string,
    @Body() body: RunPictureBackDto,
    @OnceKey() key?: string,
  ): Promise<RunPicturesDto> {
    return this.pictures.takeBack(acting, { runId: id, pictureId: picture }, body, key);
  }
}
