import { Module } from '@nestjs/common';
import { PicturesController } from './pictures.controller.js';
import { PicturesService } from './pictures.service.js';
import { RunPicturesController } from './run-pictures.controller.js';
import { RunPicturesService } from './run-pictures.service.js';

@Module({
  controllers: [PicturesController, RunPicturesController],
  providers: [PicturesService, RunPicturesService],
})
export class PicturesModule {}
