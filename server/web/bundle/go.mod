module tankful/bundle

go 1.26

require github.com/evanw/esbuild v0.28.2
