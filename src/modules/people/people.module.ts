import { Module } from '@nestjs/common';
import { Badges } from './badges.js';
import { DayPasses } from './day-passes.js';
import { PeopleController } from './people.controller.js';
import { PeopleService } from './people.service.js';
import { SessionController } from './session.controller.js';
import { SessionService } from './session.service.js';
import { SetupLinks } from './setup-links.js';

@Module({
  controllers: [SessionController, PeopleController],
  providers: [SessionService, PeopleService, SetupLinks, Badges, DayPasses],
})
export class PeopleModule {}
