"use strict";
// Shows what has changed without a reload.
