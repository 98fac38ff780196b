import { Module } from '@nestjs/common';
import { BathsController } from './baths.controller.js';
import { BathsService } from './baths.service.js';
import { PreparationsController } from './preparations.controller.js';
import { PreparationsService } from './preparations.service.js';
import { RecipesController } from './recipes.controller.js';
import { RecipesService } from './recipes.service.js';

@Module({
  controllers: [RecipesController, PreparationsController, BathsController],
  providers: [RecipesService, PreparationsService, BathsService],
})
export class PreparationsModule {}
