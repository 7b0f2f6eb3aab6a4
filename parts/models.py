"""Where Django finds the models: each stands with its subject."""

from .care.models import *  # noqa: F403
from .decide.models import *  # noqa: F403
from .drawings.models import *  # noqa: F403
from .engine.models import *  # noqa: F403
from .forecast.models import *  # noqa: F403
from .lifting.models import *  # noqa: F403
from .money.models import *  # noqa: F403
from .people.models import *  # noqa: F403
from .photos.models import *  # noqa: F403
from .record.models import *  # noqa: F403
from .reports.models import *  # noqa: F403
from .workshop.bars.models import *  # noqa: F403
from .workshop.bearings.models import *  # noqa: F403
from .workshop.fasteners.models import *  # noqa: F403
from .workshop.metal.models import *  # noqa: F403
from .workshop.patterns.models import *  # noqa: F403
from .workshop.pours.models import *  # noqa: F403
from .workshop.shapes.models import *  # noqa: F403
