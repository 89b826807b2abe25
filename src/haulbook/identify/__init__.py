"""Which one is it: a likelihood key that asks the best next question and keeps doubt as doubt.

characters     what can be looked at, its answers, when it may be asked
matrix         which taxon shows which states
observations   what somebody says they saw or did not see
likelihood     how likely each answer is for each taxon
posterior      prior times likelihood
past           what past hauls at a site and season held
question       the look that tells most for its cost
apart          what parts two taxa, and what nothing parts
groups         where to leave an animal that can't be taken to species
reasons        why, and what does not fit together
notices        invasive, introduced, protected, hazardous: on possible matches too
identification the whole answer after some looks
lookalike      two to five taxa side by side
kit            the table that a phone scores by adding numbers
trial          the key tried on specimens drawn from its own table
words          names and shares as they are said
"""

from haulbook.identify.identification import Identification, identify
from haulbook.identify.kit import kit_table
from haulbook.identify.likelihood import SLIP, Model, load_model
from haulbook.identify.lookalike import Lookalikes, lookalikes
from haulbook.identify.matrix import Matrix, load_matrix
from haulbook.identify.notices import POSSIBLE
from haulbook.identify.observations import Observation, read_observations
from haulbook.identify.past import Past, found_in
from haulbook.identify.posterior import prior
from haulbook.identify.question import SURE

__all__ = [
    "POSSIBLE",
    "SLIP",
    "SURE",
    "Identification",
    "Lookalikes",
    "Matrix",
    "Model",
    "Observation",
    "Past",
    "found_in",
    "identify",
    "kit_table",
    "load_matrix",
    "load_model",
    "lookalikes",
    "prior",
    "read_observations",
]
