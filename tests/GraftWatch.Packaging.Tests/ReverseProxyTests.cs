using System.Diagnostics;
using System.Net;
using System.Net.Http.Headers;
using System.Security.Cryptography.X509Certificates;
using System.Text.RegularExpressions;
using GraftWatch.Testing;
using GraftWatch.Testing.Mail;

namespace GraftWatch.Packaging.Tests;

/// <summary>The compiled program below a path of another site, behind the servers whose settings deploy/proxy hands out.</summary>
public sealed partial class ReverseProxyTests
{
    [Theory]
    [InlineData("nginx")]
    [InlineData("caddy")]
    public async Task Pages_work_below_a_path_of_a_site_and_believe_only_the_proxy(string proxy)
    {
        string program = Dist.ProgramOrSkip();
        Shell.OrSkip(proxy, proxy == "nginx" ? "nginx-light" : "caddy");
        await using Morning morning = await Morning.StartAsync();
        int port = LoopbackMailServer.FreePort();
        morning.Write(extra: $"""

            [page]
            public_address = "https://localhost:{port}/grafts"
            trusted_proxies = ["127.0.0.1", "::1"]

            """);
        await using Serving serving = Serving.Start(program, morning);
        await using Front front = await Front.StartAsync(proxy, port, serving.Address);
        await front.WaitAsync(serving);

        // In by the bare path, and every link, form and file lies below it.
        HttpResponseMessage first = await front.Http.GetAsync(new Uri("/grafts", UriKind.Relative), TestContext.Current.CancellationToken);
        string page = await first.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
        Assert.True(first.IsSuccessStatusCode, $"{(int)first.StatusCode} {page}\n{serving.Log}");
        Assert.StartsWith("/grafts/", first.RequestMessage!.RequestUri!.AbsolutePath, StringComparison.Ordinal);
        string[] links = [.. Links().Matches(page).Select(match => match.Groups[1].Value).Where(link => !link.StartsWith('#'))];
        Assert.NotEmpty(links);
        Assert.All(links, link => Assert.StartsWith("/grafts/", link, StringComparison.Ordinal));
        foreach (string link in links.Where(link => link.EndsWith(".css", StringComparison.Ordinal) || link.EndsWith(".js", StringComparison.Ordinal) || link.EndsWith(".svg", StringComparison.Ordinal) || link.Contains(".css?", StringComparison.Ordinal)))
        {
            Assert.Equal(HttpStatusCode.OK, (await front.Http.GetAsync(new Uri(link, UriKind.Relative), TestContext.Current.CancellationToken)).StatusCode);
        }

        // The scheme the caller used is known: cookies are for HTTPS only, and for the path only.
        string[] cookies = [.. front.Cookies.GetAllCookies().Select(cookie => $"{cookie.Name} {cookie.Path} {cookie.Secure}")];
        Assert.All(cookies, cookie => Assert.Matches("^__Secure-[^ ]+ /grafts True$", cookie));

        // What is too large is turned away and nothing falls over.
        using var large = new ByteArrayContent(new byte[3 * 1024 * 1024]);
        large.Headers.ContentType = new MediaTypeHeaderValue("application/x-www-form-urlencoded");
        try
        {
            HttpResponseMessage refused = await front.Http.PostAsync(new Uri("/grafts/sign-in", UriKind.Relative), large, TestContext.Current.CancellationToken);
            // Caddy 2.6 says 502 of a body it stopped reading.
            Assert.Contains(refused.StatusCode, proxy == "nginx" ? [HttpStatusCode.RequestEntityTooLarge] : new[] { HttpStatusCode.RequestEntityTooLarge, HttpStatusCode.BadGateway });
        }
        catch (HttpRequestException)
        {
            // The proxy may close the line before everything was sent.
        }

        // Other paths of the site are not ours.
        Assert.Equal(HttpStatusCode.NotFound, (await front.Http.GetAsync(new Uri("/ready", UriKind.Relative), TestContext.Current.CancellationToken)).StatusCode);
        Assert.DoesNotContain("fail:", serving.Log, StringComparison.Ordinal);
    }

    [GeneratedRegex("(?:href|src|action)=\"([^\"]*)\"")]
    private static partial Regex Links();

    /// <summary>The server in front, with the settings we hand out inside a bare site of its own.</summary>
    private sealed class Front : IAsyncDisposable
    {
        private readonly Process process;
        private readonly string folder;
        private readonly Task<string> said;

        private Front(Process process, string folder, int port, Task<string> said)
        {
            this.process = process;
            this.folder = folder;
            this.said = said;
            Http = new HttpClient(new HttpClientHandler { ServerCertificateCustomValidationCallback = (_, _, _, _) => true, CookieContainer = Cookies }) { BaseAddress = new Uri($"https://localhost:{port}/") };
        }

        internal HttpClient Http { get; }

        internal CookieContainer Cookies { get; } = new();

        internal static async Task<Front> StartAsync(string proxy, int port, Uri behind)
        {
            string folder = Directory.CreateTempSubdirectory("graftwatch-proxy-").FullName;
            using X509Certificate2 certificate = LoopbackMailServer.MakeCertificate();
            await File.WriteAllTextAsync(Path.Combine(folder, "site.pem"), certificate.ExportCertificatePem() + "\n");
            await File.WriteAllTextAsync(Path.Combine(folder, "site.key"), certificate.GetECDsaPrivateKey()!.ExportPkcs8PrivateKeyPem() + "\n");
            string own = (await File.ReadAllTextAsync(Repository.PathOf("deploy", "proxy", proxy == "nginx" ? "nginx.conf" : "Caddyfile"))).Replace("127.0.0.1:8620", behind.Authority, StringComparison.Ordinal);
            ProcessStartInfo start = proxy == "nginx" ? Nginx(folder, port, own) : Caddy(folder, port, own);
            start.RedirectStandardError = true;
            Process process = Process.Start(start)!;
            return new Front(process, folder, port, process.StandardError.ReadToEndAsync());
        }

        internal async Task WaitAsync(Serving serving)
        {
            for (int i = 0; i < 300; i++)
            {
                try
                {
                    HttpResponseMessage answer = await Http.GetAsync(new Uri("/grafts/", UriKind.Relative), TestContext.Current.CancellationToken);
                    if (answer.StatusCode != HttpStatusCode.BadGateway)
                    {
                        return;
                    }
                }
                catch (HttpRequestException) when (!process.HasExited)
                {
                }

                await Task.Delay(100, TestContext.Current.CancellationToken);
            }

            Assert.Fail("Nothing answers through the proxy.\n" + serving.Log);
        }

        public async ValueTask DisposeAsync()
        {
            Http.Dispose();
            process.Kill();
            await process.WaitForExitAsync();
            await said;
            process.Dispose();
            Directory.Delete(folder, recursive: true);
        }

        private static ProcessStartInfo Nginx(string folder, int port, string own)
        {
            string file = Path.Combine(folder, "nginx.conf");
            File.WriteAllText(file, $$"""
                daemon off;
                master_process off;
                pid {{folder}}/nginx.pid;
                error_log stderr warn;
                events { }
                http {
                    access_log off;
                    client_body_temp_path {{folder}}/body;
                    proxy_temp_path {{folder}}/proxy;
                    fastcgi_temp_path {{folder}}/fastcgi;
                    uwsgi_temp_path {{folder}}/uwsgi;
                    scgi_temp_path {{folder}}/scgi;
                    server {
                        listen 127.0.0.1:{{port}} ssl;
                        server_name localhost;
                        ssl_certificate {{folder}}/site.pem;
                        ssl_certificate_key {{folder}}/site.key;
                        location / { return 404; }
                {{own}}
                    }
                }
                """);
            return new ProcessStartInfo(File.Exists("/usr/sbin/nginx") ? "/usr/sbin/nginx" : "nginx", ["-e", "stderr", "-p", folder, "-c", file]);
        }

        private static ProcessStartInfo Caddy(string folder, int port, string own)
        {
            string file = Path.Combine(folder, "Caddyfile");
            string site = own.Replace("your.site.example {", $"https://localhost:{port} {{\n\tbind 127.0.0.1\n\ttls {folder}/site.pem {folder}/site.key\n\trespond 404", StringComparison.Ordinal);
            File.WriteAllText(file, "{\n\tadmin off\n\tauto_https off\n}\n" + site);
            var start = new ProcessStartInfo("caddy", ["run", "--config", file, "--adapter", "caddyfile"]);
            start.Environment["XDG_DATA_HOME"] = folder;
            start.Environment["XDG_CONFIG_HOME"] = folder;
            return start;
        }
    }
}
