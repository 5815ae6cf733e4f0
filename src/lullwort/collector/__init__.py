"""Sources of readings and of what is entered about batches: decoded, checked, and set aside where bad."""

from __future__ import annotations

from lullwort.collector.arrival import Arrival, Outcome, Packet
from lullwort.collector.blockbuilder import BlockBuilder
from lullwort.collector.broker import HERE, BrokerLink, BrokerSettings, TopicSettings, checked_broker
from lullwort.collector.entries import (
    BOTTLE_SIZES_L,
    LARGEST_ERROR,
    MOST_BOTTLES,
    NO_GRAVITY_BY_BRIX,
    PACKAGING_RANGES,
    SCALE_UNIT,
    checked_batch,
    checked_event,
    checked_instrument,
    checked_packaging_day,
    read_batches_file,
    refuse_contradictions,
    refuse_packaging_contradictions,
    refuse_unfit_instrument,
)
from lullwort.collector.folder import FolderSettings, FolderWatch, Report, checked_folder
from lullwort.collector.forms import (
    IMPOSSIBLE_TIME,
    SENML,
    WHOLE_CHARACTERS,
    Form,
    PlainReading,
    checked_form,
    decode_packet,
    plain_reading,
)
from lullwort.collector.httpsettings import HttpSettings, checked_http, http_token
from lullwort.collector.log import Log
from lullwort.collector.mapping import OPTIONAL, Mapping, checked_mapping
from lullwort.collector.openlog import open_log, propose_mapping
from lullwort.collector.senml import SENML_SUFFIXES, is_senml
from lullwort.collector.survey import LogSurvey, VesselSurvey
from lullwort.collector.table import Doubt, Proposal
from lullwort.collector.topics import TopicTemplate

__all__ = [
    "BOTTLE_SIZES_L",
    "HERE",
    "IMPOSSIBLE_TIME",
    "LARGEST_ERROR",
    "MOST_BOTTLES",
    "NO_GRAVITY_BY_BRIX",
    "OPTIONAL",
    "PACKAGING_RANGES",
    "SCALE_UNIT",
    "SENML",
    "SENML_SUFFIXES",
    "WHOLE_CHARACTERS",
    "Arrival",
    "BlockBuilder",
    "BrokerLink",
    "BrokerSettings",
    "Doubt",
    "FolderSettings",
    "FolderWatch",
    "Form",
    "HttpSettings",
    "Log",
    "LogSurvey",
    "Mapping",
    "Outcome",
    "Packet",
    "PlainReading",
    "Proposal",
    "Report",
    "TopicSettings",
    "TopicTemplate",
    "VesselSurvey",
    "checked_batch",
    "checked_broker",
    "checked_event",
    "checked_folder",
    "checked_form",
    "checked_http",
    "checked_instrument",
    "checked_mapping",
    "checked_packaging_day",
    "decode_packet",
    "http_token",
    "is_senml",
    "open_log",
    "plain_reading",
    "propose_mapping",
    "read_batches_file",
    "refuse_contradictions",
    "refuse_packaging_contradictions",
    "refuse_unfit_instrument",
]
