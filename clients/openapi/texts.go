package openapi

// lineRoutes are the streams that are served as lines of JSON.
var lineRoutes = map[string]string{
	"CheckService.CheckMany":         "/v1/check-many",
	"ShortlistService.ShortlistMany": "/v1/shortlist-many",
	"ShortlistService.Matrix":        "/v1/matrix",
}

const introduction = `
Tells whether the parts of a small computer go together, with numbers, evidence and a remedy.

Messages are JSON by protobuf's mapping. Answers name fields as this document does; questions may use lowerCamelCase as
well. Fields that are not known are refused, with the path of each. Absent and zero differ: what is missing is UNKNOWN,
never assumed. Numbers of 64 bits are in quotes.

Bodies may be packed by gzip or zstd (Content-Encoding) and have 2 MiB unpacked; answers are packed as Accept-Encoding
says. What is wrong is told as application/problem+json (RFC 9457).

The answers to a check and to a sheet have an ETag, made from the request and from the ruleset that answers it, without
running the check. If-None-Match with that tag is answered by 304, also on POST. That goes beyond RFC 9110, which knows
304 for GET and HEAD alone; these requests change nothing, so that a repeated question means the same as a repeated GET.
The tag changes with packs, their versions and policies. An answer that a pack has left out of has none.
`

var tags = []any{
	object{"name": "CheckService", "description": "Whether the parts of a build go together."},
	object{"name": "ShortlistService", "description": "Which of many parts fit a build."},
	object{"name": "SheetService", "description": "The printable record of a build."},
	object{"name": "PackService", "description": "What answers, and by which rules."},
}

var parameters = object{
	"Tenant": object{
		"name": "Slipfit-Tenant", "in": "header", "description": "Whose policy holds. Absent: that of everybody.",
		"schema": object{"type": "string", "minLength": 1},
	},
	"Wait": object{
		"name": "Prefer", "in": "header", "description": "How many seconds the answer may take, as wait=SECONDS (RFC 7240, section 4.3). Absent: 10.",
		"schema": object{"type": "string", "pattern": "^wait=[0-9]{1,5}$"},
	},
	"IfNoneMatch": object{
		"name": "If-None-Match", "in": "header", "description": "ETag of the answer that is at hand.",
		"schema": object{"type": "string"},
	},
}

var headers = object{
	"ETag":         object{"description": "Weak entity tag of the answer. Absent where a pack gave none.", "schema": object{"type": "string"}},
	"CacheControl": object{"description": "How long the answer may be kept.", "schema": object{"type": "string"}},
	"Vary":         object{"description": "Headers that decide the answer as well.", "schema": object{"type": "string"}},
	"RetryAfter":   object{"description": "After how many seconds to ask again.", "schema": object{"type": "integer", "minimum": 1}},
}

// problemNames are the responses of failures by their status.
var problemNames = map[string]string{
	"400": "BadRequest", "404": "NotFound", "413": "TooLarge", "415": "WrongMedia", "429": "TooMany", "503": "Unavailable", "504": "TooLate",
}

var problems = object{
	"BadRequest":  problemResponse("The document cannot be followed; violations say where and why.", false),
	"NotFound":    problemResponse("There is no such thing.", false),
	"TooLarge":    problemResponse("The body is too large.", false),
	"WrongMedia":  problemResponse("The body is not JSON, or packed as nobody here unpacks it.", false),
	"TooMany":     problemResponse("The service has as much to do as it can answer in time.", true),
	"Unavailable": problemResponse("The service is stopping; another one may answer.", false),
	"TooLate":     problemResponse("The answer took longer than it might.", false),
	"Failure":     problemResponse("What else went wrong.", false),
}

func problemResponse(text string, later bool) object {
	out := object{
		"description": text,
		"content":     object{"application/problem+json": object{"schema": object{"$ref": "#/components/schemas/Problem"}}},
	}
	if later {
		out["headers"] = object{"Retry-After": header("RetryAfter")}
	}
	return out
}

var problemSchema = object{
	"type": "object", "description": "What is wrong, by RFC 9457.", "required": []string{"title", "status", "detail", "code"},
	"properties": object{
		"title":               object{"type": "string", "description": "The same for all problems of one code."},
		"status":              object{"type": "integer", "minimum": 400, "maximum": 599, "description": "The HTTP status."},
		"detail":              object{"type": "string", "description": "What is wrong with this request, in a sentence."},
		"code":                object{"type": "string", "description": "Name of the google.rpc.Code, such as INVALID_ARGUMENT."},
		"reason":              object{"type": "string", "description": "A word for programs, such as DOCUMENT_INVALID."},
		"violations":          object{"type": "array", "items": object{"$ref": "#/components/schemas/ProblemViolation"}, "description": "What is wrong with the document, the first of it."},
		"retry_delay_seconds": object{"type": "number", "exclusiveMinimum": 0, "description": "After how long it is worth asking again."},
	},
}

var violationSchema = object{
	"type": "object", "description": "One thing that is wrong with a document.", "required": []string{"path", "reason"},
	"properties": object{
		"path":   object{"type": "string", "description": "Path in the document, such as items[2].part.fan.size_mm; empty for the whole."},
		"reason": object{"type": "string", "description": "What is wrong there, in a sentence."},
	},
}

// examples are bodies by the name of their message. The parts are invented.
var examples = map[string]any{
	"CheckRequest": object{"build": object{
		"id": "quiet-desk",
		"items": []any{
			object{"id": "enclosure", "part": object{"id": "heath-9", "name": "Heath 9", "chassis": object{"limits": object{"cooler_height_mm": 70}}}},
			object{"id": "cooler", "part": object{"id": "plover-67", "name": "Plover 67", "air_cooler": object{"height_mm": 67}}},
		},
	}},
}
