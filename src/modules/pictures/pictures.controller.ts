import { Body, Controller, Get, Param, Post, Query } from '@nestjs/common';
import { NewPictureDto, PictureDto, PictureListDto, PictureQueryDto } from '../../contract/pictures.dto.js';
import { Acting, Allow, OnceKey, SignedIn } from '../http/access.js';
import { PicturesService } from './pictures.service.js';

@Controller('pictures')
export class PicturesController {
  constructor(private readonly pictures: PicturesService) {}

  /** Has a picture of a control measured: the stain, never the patient. It is done beside, ask for the answer. */
  @Post()
  @Allow('technician', 'releaser', 'manager', 'director')
  take(@Acting() acting: Acting, @Body() body: NewPictureDto, @OnceKey() key?: string): Promise<PictureDto> {
    return this.pictures.take(acting, body, key);
  }

  /** Pictures, newest first. */
  @Get()
  @SignedIn()
  list(@Acting() acting: Acting, @Query() query: PictureQueryDto): Promise<PictureListDto> {
    return this.pictures.list(acting, query);
  }

  /** One picture, how far its measuring is, and what was found. */
  @Get(':id')
  @SignedIn()
  picture(@Acting() acting: Acting, @Param('id') id: string): Promise<PictureDto> {
    return this.pictures.picture(acting, id);
  }
}
