import { Body, Controller, Get, HttpCode, Param, Post } from '@nestjs/common';
import {
  KnownRecipeDto,
  NewSerialDilutionDto,
  RecipeDto,
  RecipeSummaryDto,
  SerialDilutionDto,
  WorksheetDto,
  WorksheetQueryDto,
} from '../../contract/recipes.dto.js';
import { Acting, Allow, OnceKey, SignedIn } from '../http/access.js';
import { RecipesService } from './recipes.service.js';

@Controller()
export class RecipesController {
  constructor(private readonly recipes: RecipesService) {}

  /** Recipes as they count now, by their codes. */
  @Get('recipes')
  @SignedIn()
  list(@Acting() acting: Acting): Promise<RecipeSummaryDto[]> {
    return this.recipes.list(acting);
  }

  @Get('recipes/:code')
  @SignedIn()
  recipe(@Acting() acting: Acting, @Param('code') code: string): Promise<KnownRecipeDto> {
    return this.recipes.recipe(acting, code);
  }

  /** Writes a recipe of the laboratory's own; from then on it counts for its code. */
  @Post('recipes')
  @Allow('manager', 'director')
  write(@Acting() acting: Acting, @Body() body: RecipeDto, @OnceKey() key?: string): Promise<KnownRecipeDto> {
    return this.recipes.write(acting, body, key);
  }

  /** What to weigh and to pour for a volume, in order, and from which containers; changes nothing. */
  @Post('recipes/:code/worksheet')
  @HttpCode(200)
  @Allow('technician', 'releaser', 'manager', 'director')
  worksheet(
    @Acting() acting: Acting,
    @Param('code') code: string,
    @Body() body: WorksheetQueryDto,
  ): Promise<WorksheetDto> {
    return this.recipes.worksheet(acting, code, body);
  }

  /** What to transfer and to pour for each tube of a serial dilution; changes nothing. */
  @Post('worksheets/serial-dilution')
  @HttpCode(200)
  @Allow('technician', 'releaser', 'manager', 'director')
  serialDilution(@Body() body: NewSerialDilutionDto): SerialDilutionDto {
    return this.recipes.serialDilution(body);
  }
}
