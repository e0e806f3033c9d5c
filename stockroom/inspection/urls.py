"""Addresses of inspection."""

from django.urls import path

from stockroom.inspection.views import annual_walk, review

urlpatterns = [
    # the head's review
    path("review/", review.page, name="review"),
    path("review/sheet/", review.stock_sheet, name="review-sheet"),
    # the annual review
    path("annual-reviews/", annual_walk.AnnualReviewList.as_view(), name="annual-list"),
    path("annual-reviews/start/", annual_walk.start, name="annual-add"),
    path("annual-reviews/<int:pk>/", annual_walk.detail, name="annual-detail"),
    path("annual-reviews/<int:pk>/sign/", annual_walk.sign, name="annual-sign"),
    path("annual-reviews/<int:pk>/abandon/", annual_walk.abandon, name="annual-abandon"),
    path("annual-reviews/<int:pk>/sheet/", annual_walk.review_sheet, name="annual-sheet"),
    path("shelf-walks/<int:pk>/", annual_walk.walk, name="annual-walk"),
]
