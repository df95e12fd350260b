// Everything about documents that follows from the schema by reflection, for any message of package
// brakeward.v1. This header gathers the room's public headers; read them in this order:
//
//   fault.h         Fault, Faults: what is wrong with a document, all of it at once
//   parse.h         load() and parse(): text format and JSON in, a checked message or faults out
//   check.h         check(): the rules of the schema on a message that came another way
//   schema.h        units, ranges, meanings; how numbers are written in messages
//   address.h       the address of a value, for example balance.steps["+2"].front_percent
//   defaults.h      resolve_defaults(): unset numbers take the schema's default
//   content_hash.h  content_sha256(): what a document says, whatever its form
//   diff.h          diff(): what differs between two documents of one type
//   describe.h      describe() and find_type(): the schema as a table to read
//   json_schema.h   json_schema(): the schema for tools that know JSON Schema
//   print.h         to_text(), to_json()
//   sha256.h        SHA-256 of plain bytes; sees no protobuf
//   edit_distance.h how far apart two words are; sees no protobuf
//
// Nothing here prints, throws or keeps state: every function may be called from any thread.
#pragma once

#include "document/address.h"
#include "document/check.h"
#include "document/content_hash.h"
#include "document/defaults.h"
#include "document/describe.h"
#include "document/diff.h"
#include "document/edit_distance.h"
#include "document/fault.h"
#include "document/json_schema.h"
#include "document/parse.h"
#include "document/print.h"
#include "document/schema.h"
#include "document/sha256.h"
