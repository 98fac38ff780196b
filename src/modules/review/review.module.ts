import { Module } from '@nestjs/common';
import { GrantsController } from './grants.controller.js';
import { GrantsService } from './grants.service.js';
import { ProofService } from './proof.service.js';
import { ReviewController } from './review.controller.js';
import { ReviewService } from './review.service.js';

/** Reviewers: what they were granted, what they ask, what they looked at. */
@Module({
  controllers: [GrantsController, ReviewController],
  providers: [GrantsService, ReviewService, ProofService],
})
export class ReviewModule {}
