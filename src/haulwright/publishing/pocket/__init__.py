"""The pocket card: one page that reckons a rig on any phone, with nothing but itself."""

from haulwright.publishing.pocket.page import pocket_page as pocket_page
from haulwright.publishing.pocket.record import PocketCard as PocketCard
