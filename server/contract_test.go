package server_test

import (
	"bytes"
	"fmt"
	"net/http"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// contract is the OpenAPI document that a server gives, against which every answer that a test gets from /api is held: by the JSON Schema of its status
// (santhosh-tekuri/jsonschema, draft 2020-12, which OpenAPI 3.1 is made of).
type contract struct {
	doc     map[string]any
	compile *jsonschema.Compiler
	paths   map[*regexp.Regexp]string
	mu      sync.Mutex
	schemas map[string]*jsonschema.Schema
}

func newContract(text []byte) (*contract, error) {
	value, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		return nil, err
	}
	doc, ok := value.(map[string]any)
	if !ok || !strings.HasPrefix(fmt.Sprint(doc["openapi"]), "3.1") {
		return nil, fmt.Errorf("it is no OpenAPI 3.1: %v", doc["openapi"])
	}
	c := &contract{doc: doc, compile: jsonschema.NewCompiler(), paths: map[*regexp.Regexp]string{}, schemas: map[string]*jsonschema.Schema{}}
	if err := c.compile.AddResource("openapi.json", value); err != nil {
		return nil, err
	}
	hole := regexp.MustCompile(`\\\{[^}]+\\\}`)
	for path := range doc["paths"].(map[string]any) {
		c.paths[regexp.MustCompile("^"+hole.ReplaceAllString(regexp.QuoteMeta(path), `[^/]+`)+"$")] = path
	}
	return c, nil
}

// check holds an answer against what the document says of its operation and status.
func (c *contract) check(t *testing.T, r *http.Request, answer *http.Response, body []byte) {
	t.Helper()
	at := ""
	for form, path := range c.paths {
		if form.MatchString(r.URL.Path) && !strings.Contains(at, "{") { // a path without holes comes first
			if at == "" || !strings.Contains(path, "{") {
				at = path
			}
		}
	}
	operation, _ := dig(c.doc, "paths", at, strings.ToLower(r.Method)).(map[string]any)
	if operation == nil {
		return // not of the API: 404, 405 and what sign-in refuses
	}
	responses, _ := operation["responses"].(map[string]any)
	status := strconv.Itoa(answer.StatusCode)
	if responses[status] == nil {
		if status = "default"; responses[status] == nil {
			t.Errorf("%s %s answers %d, of which the document knows nothing", r.Method, at, answer.StatusCode)
			return
		}
	}
	if answer.Header.Get("Content-Type") == "text/plain; charset=utf-8" && string(body) == "400 Bad Request" {
		return // HTTP itself was broken: net/http answers
	}
	kind, _, _ := strings.Cut(answer.Header.Get("Content-Type"), ";")
	content, _ := dig(responses, status, "content").(map[string]any)
	if len(body) == 0 || content == nil && kind == "" {
		return
	}
	if content[kind] == nil {
		t.Errorf("%s %s answers %d as %q, and the document has %v", r.Method, at, answer.StatusCode, kind, keysOf(content))
		return
	}
	if !strings.HasSuffix(kind, "json") || dig(content, kind, "schema") == nil {
		return
	}
	point := func(s string) string {
		return strings.NewReplacer("~", "~0", "/", "~1", "{", "%7B", "}", "%7D").Replace(s)
	}
	name := fmt.Sprintf("openapi.json#/paths/%s/%s/responses/%s/content/%s/schema", point(at), strings.ToLower(r.Method), status, point(kind))
	c.mu.Lock()
	defer c.mu.Unlock()
	schema := c.schemas[name]
	if schema == nil {
		var err error
		if schema, err = c.compile.Compile(name); err != nil {
			t.Errorf("%s: %v", name, err)
			return
		}
		c.schemas[name] = schema
	}
	value, err := jsonschema.UnmarshalJSON(bytes.NewReader(body))
	if err != nil {
		t.Errorf("%s %s answers no JSON: %v", r.Method, at, err)
		return
	}
	if err := schema.Validate(value); err != nil {
		t.Errorf("%s %s, %d: the answer is not what the document says: %v\n%.600s", r.Method, at, answer.StatusCode, err, body)
	}
}

// dig is a member of members.
func dig(v any, keys ...string) any {
	for _, k := range keys {
		m, ok := v.(map[string]any)
		if !ok {
			return nil
		}
		v = m[k]
	}
	return v
}

func keysOf(m map[string]any) (out []string) {
	for k := range m {
		out = append(out, k)
	}
	return out
}
