"""What is sealed to add up over sittings: a series, a final (DEVELOPERS.md, "Series and finals")."""

from evaluation.series.finals import Final as Final
from evaluation.series.finals import Question as Question
from evaluation.series.off_notes import OffNote as OffNote
from evaluation.series.records import BySeries as BySeries
from evaluation.series.records import SeriesKind as SeriesKind
from evaluation.series.records import register_series as register_series
from evaluation.series.records import registered_series as registered_series
from evaluation.series.records import series_kind as series_kind
from evaluation.series.records import series_kinds as series_kinds
from evaluation.series.sealed import Ended as Ended
from evaluation.series.sealed import SealedSeries as SealedSeries
from evaluation.series.sealed import Series as Series
from evaluation.series.sealed import SeriesDesign as SeriesDesign
from evaluation.series.search_series import SearchSeries as SearchSeries

for _one in (
    SeriesKind(name=SearchSeries.name, design=SearchSeries),
    SeriesKind(name=OffNote.name, design=OffNote),
    SeriesKind(name=Final.name, design=Final, keeps=True, once_a_day=True),
):
    register_series(_one)
